//! Comments on the cells of a sheet: those of old, and the threads that newer programs keep beside them.

use foldhash::{HashSet, HashSetExt};
use quick_xml::events::Event;

use super::sheet::address;
use super::strings::rich_text;
use crate::place::Address;
use crate::read::collect::{Budget, Sheet};
use crate::read::fault::Fault;
use crate::read::links::Links;
use crate::read::package::Package;
use crate::read::xml::attribute;

/// Reads the comments of the sheet whose part this is.
pub(super) fn read(
    package: &mut Package<'_>,
    part: &str,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let links = Links::of(package, part)?;
    let mut threads = HashSet::new();
    for kind in ["threadedComment", "comments"] {
        if let Some(link) = links.by_kind(kind) {
            of_kind(package, &link.part, &mut threads, sheet, budget)?;
        }
    }
    Ok(())
}

/// Reads a part with comments of one kind. `threads` are the cells whose threads were read.
fn of_kind(
    package: &mut Package<'_>,
    part: &str,
    threads: &mut HashSet<Address>,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let Some(mut xml) = package.xml(part)? else { return Ok(()) };
    let mut at = None;
    let mut threaded = false;
    let mut rich = String::new();
    loop {
        match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                kind @ ("comment" | "threadedComment") => {
                    threaded = kind == "threadedComment";
                    at = attribute(&start, "ref").and_then(|name| address(&name));
                    // A thread is told in a comment of old too, with advice on programs: the thread is what was written.
                    match at {
                        Some(cell) if threaded => _ = threads.insert(cell),
                        Some(cell) if threads.contains(&cell) => at = None,
                        _ => {}
                    }
                    continue;
                }
                "text" => {}
                _ => continue,
            },
            Event::Eof => return Ok(()),
            _ => continue,
        }
        let text = if threaded {
            xml.text()?
        } else {
            rich_text(&mut xml, &mut rich)?;
            &rich
        };
        if let Some(at) = at {
            sheet.comment(budget, at, text)?;
        }
    }
}
