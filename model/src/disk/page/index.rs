//! Which stored file has which path: a list of all at the last start, and behind it a record of every change since, a line each,
//! each with its check sum. A line that was cut off by the end of the browser ends the list.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// First words of an index, with its version.
const HEAD: &str = "stint files 1";

/// What lies at a path.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Place {
    /// A folder.
    Folder,
    /// The file with this number.
    File(u64),
}

/// Everything that has a path.
pub(super) type Places = BTreeMap<PathBuf, Place>;

/// A change of [`Places`].
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Record<'a> {
    /// Something is at a path from now on.
    Put(&'a Path, Place),
    /// Nothing is there any more.
    Gone(&'a Path),
    /// What was at the first path, with all that lies in it, is at the second.
    Moved(&'a Path, &'a Path),
}

/// Why an index cannot be used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Unusable {
    /// Its list was never written to its end.
    CutOff,
    /// It was made by a newer program.
    Newer,
}

/// The line of a record.
pub(super) fn line(record: &Record<'_>) -> String {
    checked(&match record {
        Record::Put(path, Place::Folder) => format!("/\t{}", escaped(path)),
        Record::Put(path, Place::File(number)) => format!("+\t{number}\t{}", escaped(path)),
        Record::Gone(path) => format!("-\t{}", escaped(path)),
        Record::Moved(from, to) => format!(">\t{}\t{}", escaped(from), escaped(to)),
    })
}

/// A whole index of what there is.
pub(super) fn list(places: &Places) -> String {
    let mut text = checked(HEAD);
    for (path, place) in places {
        text += &line(&Record::Put(path, *place));
    }
    text += &checked(&format!("=\t{}", places.len()));
    text
}

/// Reads an index: its list and all whole records behind it.
///
/// # Errors
/// When its list has no end, or a newer program wrote it.
pub(super) fn read(bytes: &[u8]) -> Result<Places, Unusable> {
    let mut places = Places::new();
    let mut listed = false;
    let mut headed = false;
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        let Some(text) = content(line) else { break };
        if !headed {
            if text != HEAD {
                return Err(if text.starts_with("stint files ") { Unusable::Newer } else { Unusable::CutOff });
            }
            headed = true;
            continue;
        }
        let mut parts = text.split('\t');
        let mut next = || parts.next().unwrap_or_default();
        match next() {
            "=" => listed = true,
            "/" => drop(places.insert(unescaped(next()), Place::Folder)),
            "+" => {
                let Ok(number) = next().parse() else { break };
                places.insert(unescaped(next()), Place::File(number));
            }
            "-" => drop(places.remove(&unescaped(next()))),
            ">" => moved(&mut places, &unescaped(next()), &unescaped(next())),
            _ => break,
        }
    }
    if listed { Ok(places) } else { Err(Unusable::CutOff) }
}

/// Moves what is at `from`, with all that lies in it.
pub(super) fn moved(places: &mut Places, from: &Path, to: &Path) {
    let inside: Vec<PathBuf> = places.keys().filter(|path| path.starts_with(from)).cloned().collect();
    for path in inside {
        if let (Some(place), Ok(rest)) = (places.remove(&path), path.strip_prefix(from)) {
            let target = if rest == Path::new("") { to.to_owned() } else { to.join(rest) };
            places.insert(target, place);
        }
    }
}

/// A line with its check sum before it.
fn checked(text: &str) -> String {
    format!("{:08x} {text}\n", sum(text.as_bytes()))
}

/// What a whole line says; none when it is cut off or damaged.
fn content(line: &[u8]) -> Option<&str> {
    let line = std::str::from_utf8(line.strip_suffix(b"\n")?).ok()?;
    let (found, text) = line.split_once(' ')?;
    (u32::from_str_radix(found, 16).ok()? == sum(text.as_bytes())).then_some(text)
}

/// CRC-32 as zip and PNG have it.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    let mut sum = flate2::Crc::new();
    sum.update(bytes);
    sum.sum()
}

/// A path in which no control character and no percent sign stands for itself.
fn escaped(path: &Path) -> String {
    let mut text = String::new();
    for c in path.to_string_lossy().chars() {
        if c.is_control() || c == '%' {
            // Writing into a string cannot fail.
            let _ = write!(text, "%{:x};", u32::from(c));
        } else {
            text.push(c);
        }
    }
    text
}

fn unescaped(text: &str) -> PathBuf {
    let mut path = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('%') {
        path += before;
        let (code, after) = after.split_once(';').unwrap_or((after, ""));
        path.extend(u32::from_str_radix(code, 16).ok().and_then(char::from_u32));
        rest = after;
    }
    path += rest;
    PathBuf::from(path)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_list_and_its_records_are_read_back_up_to_the_line_that_is_cut_off() {
        let mut places = Places::new();
        places.insert("/studies".into(), Place::Folder);
        places.insert("/studies/tram\tdepot 100%\n夜.stint".into(), Place::File(7));
        let mut text = list(&places);
        assert_eq!(read(text.as_bytes()).unwrap(), places);
        text += &line(&Record::Put(Path::new("/studies/b"), Place::File(8)));
        text += &line(&Record::Moved(Path::new("/studies"), Path::new("/kept")));
        let whole = read(text.as_bytes()).unwrap();
        assert_eq!(whole.get(Path::new("/kept/b")), Some(&Place::File(8)));
        assert_eq!(whole.len(), 3);
        let cut = &text.as_bytes()[..text.len() - 1];
        assert_eq!(read(cut).unwrap().get(Path::new("/studies/b")), Some(&Place::File(8)), "the move was not whole");
        text += &line(&Record::Gone(Path::new("/kept/b")));
        assert_eq!(read(text.as_bytes()).unwrap().len(), 2);
    }

    #[test]
    fn a_list_without_its_end_or_of_a_newer_program_is_not_used() {
        let places = Places::from([("/a".into(), Place::File(1))]);
        let text = list(&places);
        for end in 0..text.len() {
            assert_eq!(read(&text.as_bytes()[..end]), Err(Unusable::CutOff), "{end}");
        }
        assert_eq!(read(checked("stint files 2").as_bytes()), Err(Unusable::Newer));
        let damaged = text.replacen("/a", "/b", 1);
        assert_eq!(read(damaged.as_bytes()), Err(Unusable::CutOff));
    }
}
