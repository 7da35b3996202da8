//! Inputs from inputs: what a test does without a fuzzer. The same seed gives the same inputs.

use crate::numbers::Numbers;

/// Bytes that begin or end a range somewhere.
const EDGES: [u8; 8] = [0, 1, 0x7f, 0x80, 0xff, 0xfe, 0x40, b'0'];
/// Numbers as text that begin or end a range somewhere.
const NUMBERS: [&str; 10] =
    ["0", "-1", "65536", "4294967295", "18446744073709551616", "1e39", "-1e-46", "NaN", "inf", "0.1"];
/// Longest input that is made, in bytes.
const LONGEST: usize = 1 << 17;

/// One to eight small changes of `input`; `other` is another input, parts of which may come in.
pub fn mutated(input: &[u8], other: &[u8], numbers: &mut Numbers) -> Vec<u8> {
    let mut bytes = input.to_vec();
    for _ in 0..1 + numbers.below(8) {
        change(&mut bytes, other, numbers);
    }
    bytes.truncate(LONGEST);
    bytes
}

fn change(bytes: &mut Vec<u8>, other: &[u8], numbers: &mut Numbers) {
    let at = place(bytes.len() + 1, numbers);
    let length = 1 + place([8, 64, 4096][place(3, numbers)], numbers);
    let end = (at + length).min(bytes.len());
    match numbers.below(9) {
        0 if at < bytes.len() => bytes[at] ^= 1 << numbers.below(8),
        1 if at < bytes.len() => bytes[at] = EDGES[place(EDGES.len(), numbers)],
        2 => drop(bytes.drain(at.min(end)..end)),
        3 => {
            let again = bytes[at.min(end)..end].to_vec();
            drop(bytes.splice(at..at, again));
        }
        4 => {
            let from = place(other.len() + 1, numbers);
            drop(bytes.splice(at..at, other[from..(from + length).min(other.len())].iter().copied()));
        }
        5 => bytes.truncate(at),
        // A number in the text.
        6 => {
            let digit = |b: &u8| b.is_ascii_digit() || b".-+e".contains(b);
            let Some(start) = bytes[at..].iter().position(u8::is_ascii_digit).map(|found| at + found) else { return };
            let end = bytes[start..].iter().position(|b| !digit(b)).map_or(bytes.len(), |found| start + found);
            drop(bytes.splice(start..end, NUMBERS[place(NUMBERS.len(), numbers)].bytes()));
        }
        // A number in four bytes.
        7 if at + 4 <= bytes.len() => {
            let number = [0, 1, 0xffff, 0x7fff_ffff, u32::MAX, 0x0001_0000, numbers.next() as u32][place(7, numbers)];
            let number = if numbers.below(2) == 0 { number.to_be_bytes() } else { number.to_le_bytes() };
            bytes[at..at + 4].copy_from_slice(&number);
        }
        _ => bytes.insert(at, numbers.next() as u8),
    }
}

fn place(limit: usize, numbers: &mut Numbers) -> usize {
    (numbers.next() % limit.max(1) as u64) as usize
}

/// A PNG whose chunks all have the check sum that they want (PNG specification, 5.3); nothing when it is no PNG.
pub fn with_right_sums(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut rest = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    let mut mended = bytes[..8].to_vec();
    while let Some((length, behind)) = rest.split_first_chunk::<4>() {
        let content = (u32::from_be_bytes(*length) as usize).saturating_add(4);
        if behind.len() < content.saturating_add(4) {
            break;
        }
        mended.extend(length);
        mended.extend(&behind[..content]);
        mended.extend(crc32(&[&behind[..content]]).to_be_bytes());
        rest = &behind[content + 4..];
    }
    mended.extend(rest);
    Some(mended)
}

/// CRC-32/ISO-HDLC bit by bit, as ISO 3309 and the PNG specification (annex D) describe it.
pub(super) fn crc32(parts: &[&[u8]]) -> u32 {
    let step = |crc: u32, byte: &u8| (0..8).fold(crc ^ u32::from(*byte), |c, _| (c >> 1) ^ (0xedb8_8320 * (c & 1)));
    !parts.iter().copied().flatten().fold(!0, step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_inputs_and_they_differ_from_their_seed() {
        let (input, other) = (b"(width: 300, height: 20)".to_vec(), vec![7; 300]);
        let many = |seed| -> Vec<_> {
            let mut numbers = Numbers(seed);
            (0..200).map(|_| mutated(&input, &other, &mut numbers)).collect()
        };
        assert_eq!(many(1), many(1));
        assert_ne!(many(1), many(2));
        assert!(many(1).iter().filter(|made| **made != input).count() > 180);
        assert!(mutated(b"", b"", &mut Numbers(3)).len() < 9);
    }

    #[test]
    fn check_sums_of_chunks_come_right() {
        // The IEND chunk of every PNG.
        let right = b"\x89PNG\r\n\x1a\n\0\0\0\0IEND\xae\x42\x60\x82".to_vec();
        let mut wrong = right.clone();
        wrong[16] ^= 1;
        assert_eq!(with_right_sums(&wrong), Some(right));
        assert_eq!(with_right_sums(b"GIF89a"), None);
    }
}
