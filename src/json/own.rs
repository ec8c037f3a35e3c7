//! Stitches of the designer's own, described as in a settings file.

use foldhash::HashSet;

use super::model::Own;
use crate::pattern::Pattern;
use crate::stitch::{Face, OwnStitch, StitchId, face_letter};

/// The most loops that one stitch may use or make, as in a settings file.
const MOST_LOOPS: u32 = 500;

/// The most stitches of one's own that a JSON may describe.
pub(super) const MOST: usize = 1_000;

/// Those that the rows of a pattern work.
pub(super) fn of(pattern: &Pattern) -> Vec<Own> {
    let stitches = &pattern.stitches;
    if stitches.own().next().is_none() {
        return Vec::new();
    }
    let worked = pattern.rows.iter().flat_map(|row| &row.stitches).map(|&id| stitches.plain(id));
    let worked: HashSet<StitchId> = worked.collect();
    let used = stitches.own().filter(|(id, _)| worked.contains(id));
    used.filter_map(|(id, _)| stitches.describe(id)).map(written).collect()
}

fn written(own: OwnStitch) -> Own {
    let OwnStitch { name, uses, makes, cells, short, long, explain, ws, mirror, faces } = own;
    let told = |words: Option<String>| words.filter(|words| !words.is_empty());
    let letters: String = faces.into_iter().flatten().map(Face::letter).collect();
    Own {
        uses: uses.unwrap_or(1),
        makes: makes.unwrap_or(1),
        short: told(short).filter(|short| *short != name),
        long: told(long).filter(|long| *long != name),
        explain: told(explain),
        ws,
        mirror,
        faces: told(Some(letters)),
        cells: cells.filter(|&cells| cells != 1),
        name,
    }
}

/// A stitch as the JSON describes it.
///
/// # Errors
/// The field that can't be what it is, and what it may be.
pub(super) fn read(own: &Own) -> Result<OwnStitch, (&'static str, &'static str)> {
    let Own { name, uses, makes, short, long, explain, ws, mirror, faces, cells } = own.clone();
    if name.trim().is_empty() {
        return Err(("name", "a name"));
    }
    for (field, loops) in [("uses", uses), ("makes", makes)] {
        if loops > MOST_LOOPS {
            return Err((field, "500 loops at the most"));
        }
    }
    if cells.is_some_and(|cells| !(1..=MOST_LOOPS).contains(&cells)) {
        return Err(("cells", "1 to 500 cells"));
    }
    let faces = match faces {
        Some(letters) => {
            let faces: Option<Vec<Face>> = letters.chars().map(face_letter).collect();
            Some(faces.ok_or(("faces", "a letter for each loop the stitch makes: k, p, o or s"))?)
        }
        None => None,
    };
    let (uses, makes) = (Some(uses), Some(makes));
    Ok(OwnStitch { name, uses, makes, cells, short, long, explain, ws, mirror, faces })
}
