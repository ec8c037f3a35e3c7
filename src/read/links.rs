//! How the parts of a package refer to each other.

use quick_xml::events::Event;

use super::fault::Fault;
use super::limits;
use super::package::Package;
use super::xml::attribute;

/// A reference to another part.
pub(super) struct Link {
    /// The number the referring part calls it by.
    pub(super) id: String,
    /// What the other part is: the last word of its type.
    pub(super) kind: String,
    /// The other part's name in the package.
    pub(super) part: String,
}

/// The references of one part.
pub(super) struct Links(Vec<Link>);

impl Links {
    /// The references of a part; those of the package itself for an empty name. A part may have none.
    pub(super) fn of(package: &mut Package<'_>, part: &str) -> Result<Self, Fault> {
        let (folder, name) = part.rsplit_once('/').unwrap_or(("", part));
        let mut links = Vec::new();
        let Some(mut xml) = package.xml(&format!("{folder}/_rels/{name}.rels"))? else {
            return Ok(Self(links));
        };
        loop {
            match xml.next()? {
                Event::Start(start) if start.local_name().as_ref() == "Relationship" => {
                    let (Some(id), Some(kind), Some(target)) =
                        (attribute(&start, "Id"), attribute(&start, "Type"), attribute(&start, "Target"))
                    else {
                        continue;
                    };
                    if links.len() >= limits::TABLE_ENTRIES {
                        return Err(Fault::too_many(
                            "references between its parts",
                            limits::TABLE_ENTRIES as u64,
                        ));
                    }
                    links.push(Link {
                        id: id.into_owned(),
                        kind: kind.rsplit('/').next().unwrap_or_default().to_owned(),
                        part: resolve(folder, &target),
                    });
                }
                Event::Eof => return Ok(Self(links)),
                _ => {}
            }
        }
    }

    /// The first reference to a part of this kind.
    pub(super) fn by_kind(&self, kind: &str) -> Option<&Link> {
        self.0.iter().find(|link| link.kind == kind)
    }

    /// The reference with this number.
    pub(super) fn by_id(&self, id: &str) -> Option<&Link> {
        self.0.iter().find(|link| link.id == id)
    }
}

/// The name of a part that a part in `folder` refers to.
fn resolve(folder: &str, target: &str) -> String {
    let target = target.replace('\\', "/");
    let mut steps: Vec<&str> = if target.starts_with('/') { Vec::new() } else { folder.split('/').collect() };
    for step in target.split('/') {
        match step {
            "" | "." => {}
            ".." => {
                steps.pop();
            }
            step => steps.push(step),
        }
    }
    steps.retain(|step| !step.is_empty());
    steps.join("/")
}

#[cfg(test)]
mod tests {
    use super::resolve;

    /// Source: the rules for relative references in packages (ECMA-376 part 2).
    #[test]
    fn targets_are_relative_to_the_folder_of_their_part() {
        for (folder, target, part) in [
            ("xl", "worksheets/sheet1.xml", "xl/worksheets/sheet1.xml"),
            ("xl", "/xl/worksheets/sheet1.xml", "xl/worksheets/sheet1.xml"),
            ("xl/worksheets", "../styles.xml", "xl/styles.xml"),
            ("", "xl/workbook.xml", "xl/workbook.xml"),
            ("xl", ".\\a\\b.xml", "xl/a/b.xml"),
            ("xl", "../../../x.xml", "x.xml"),
        ] {
            assert_eq!(resolve(folder, target), part);
        }
    }
}
