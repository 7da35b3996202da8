//! HEIC: what does not belong to the main picture is overwritten with zeros where it lies. Nothing moves, because places
//! are counted in bytes all over the container.

use crate::photo::container::boxes::{Box4, boxes};
use heifer::heifer_isobmff::boxes::{ConstructionMethod, Property};
use heifer::heifer_isobmff::{HeifFile, ItemId};
use std::collections::BTreeSet;
use std::ops::Range;

/// Boxes of `meta` that say where the parts of the picture lie: ISO/IEC 14496-12, 8.11.
const KEPT_IN_META: [&[u8; 4]; 9] = [b"hdlr", b"pitm", b"iinf", b"iloc", b"iref", b"iprp", b"idat", b"dinf", b"grpl"];
/// Properties that describe samples and colours: ISO/IEC 23008-12, 6.5, and 14496-12, 12.1.
const KEPT_PROPERTIES: [&[u8; 4]; 11] =
    [b"hvcC", b"ispe", b"colr", b"pixi", b"irot", b"imir", b"clap", b"auxC", b"pasp", b"lsel", b"clli"];

pub(super) fn clean(file: &[u8]) -> Option<Vec<u8>> {
    let heif = HeifFile::parse(file).ok()?;
    let top: Vec<Box4> = boxes(file, 0..file.len()).collect();
    let meta = top.iter().find(|b| b.kind == *b"meta")?;
    // `meta` begins with its version.
    let in_meta: Vec<Box4> = boxes(file, meta.content.start + 4..meta.content.end).collect();
    let small_data = in_meta.iter().find(|b| b.kind == *b"idat").map(|b| b.content.clone());

    let mut kept: Vec<Range<usize>> = Vec::new();
    for id in parts_of_the_picture(&heif) {
        let Some(location) = &heif.item(id).ok()?.location else { continue };
        let source = match location.construction_method {
            ConstructionMethod::File => 0..file.len(),
            ConstructionMethod::Idat => small_data.clone()?,
            // Its parts are items themselves.
            ConstructionMethod::Item => continue,
        };
        for extent in &location.extents {
            let start = source.start.checked_add(usize::try_from(extent.offset).ok()?)?;
            let length = usize::try_from(extent.length).ok()?;
            // No length means to the end.
            let end = if length == 0 { source.end } else { start.checked_add(length)? };
            kept.push(start..end.min(source.end));
        }
    }
    kept.sort_by_key(|range| range.start);

    let mut clean = file.to_vec();
    for b in &top {
        match &b.kind {
            b"ftyp" | b"meta" => {}
            b"mdat" => blank(&mut clean, b.content.clone(), &kept),
            _ => set_free(&mut clean, b),
        }
    }
    for b in &in_meta {
        match &b.kind {
            b"idat" => blank(&mut clean, b.content.clone(), &kept),
            b"iprp" => {
                for container in boxes(file, b.content.clone()).filter(|b| b.kind == *b"ipco") {
                    for property in boxes(file, container.content).filter(|b| !KEPT_PROPERTIES.contains(&&b.kind)) {
                        set_free(&mut clean, &property);
                    }
                }
            }
            kind if KEPT_IN_META.contains(&kind) => {}
            _ => set_free(&mut clean, b),
        }
    }
    let end = top.last()?.whole.end;
    clean.truncate(end);
    Some(clean)
}

/// The main item, what it is put together from, and its alpha.
fn parts_of_the_picture(heif: &HeifFile<'_>) -> BTreeSet<ItemId> {
    let mut parts = BTreeSet::new();
    let mut waiting = vec![heif.primary_id];
    while let Some(id) = waiting.pop() {
        if !parts.insert(id) {
            continue;
        }
        waiting.extend_from_slice(heif.referenced_items(id, b"dimg"));
        waiting.extend_from_slice(heif.referenced_items(id, b"iloc"));
        waiting.extend(heif.referencing_items(id, b"auxl").into_iter().filter(|&aux| is_alpha(heif, aux)));
    }
    parts
}

/// By the names of ISO/IEC 23008-12, table in 6.5.8, and of 23091-2.
fn is_alpha(heif: &HeifFile<'_>, id: ItemId) -> bool {
    heif.item_properties(id).is_ok_and(|mut properties| {
        properties.any(|p| {
            matches!(p, Property::AuxiliaryType(t)
                if t == "urn:mpeg:hevc:2015:auxid:1" || t == "urn:mpeg:mpegB:cicp:systems:auxiliary:alpha")
        })
    })
}

/// Writes zeros over a part of the file but for what is kept, in order of its starts.
fn blank(file: &mut [u8], part: Range<usize>, kept: &[Range<usize>]) {
    let mut at = part.start;
    for range in kept.iter().filter(|range| range.end > part.start && range.start < part.end) {
        if range.start > at {
            file[at..range.start].fill(0);
        }
        at = at.max(range.end);
    }
    if at < part.end {
        file[at..part.end].fill(0);
    }
}

/// Turns a box into free space.
fn set_free(file: &mut [u8], b: &Box4) {
    file[b.whole.start + 4..b.whole.start + 8].copy_from_slice(b"free");
    file[b.content.clone()].fill(0);
}
