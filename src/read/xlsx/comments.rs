//! Comments on the cells of a sheet: those of old, and the threads that newer programs keep beside them.

use quick_xml::events::Event;

use super::sheet::address;
use super::strings::rich_text;
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
    // A thread is told in a comment of old too, with advice on programs: the thread is what was written.
    let link = links.by_kind("threadedComment").or_else(|| links.by_kind("comments"));
    let Some(link) = link else { return Ok(()) };
    let Some(mut xml) = package.xml(&link.part)? else { return Ok(()) };
    let threaded = link.kind == "threadedComment";
    let mut at = None;
    let mut rich = String::new();
    loop {
        match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "comment" | "threadedComment" => {
                    at = attribute(&start, "ref").and_then(|name| address(&name));
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
