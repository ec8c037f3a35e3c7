//! Styles: how cells look, and which sheets are hidden. A style takes from its parent what it does not say itself.

use std::collections::{HashMap, HashSet};

use quick_xml::events::BytesStart;

use crate::grid::{Colour, Edge, Look};
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::xml::attributes;

/// The styles read so far.
#[derive(Debug, Default)]
pub(super) struct Styles {
    cells: HashMap<String, Own>,
    /// What styles of cells without a parent start from.
    base: Own,
    hidden: HashSet<String>,
    right_to_left: HashSet<String>,
    /// Looks that were worked out, and whether they change where a condition holds.
    looks: HashMap<String, (Look, bool)>,
    open: Open,
}

/// The style whose start was read last.
#[derive(Debug, Default)]
enum Open {
    #[default]
    None,
    Base,
    Cell(String),
    Other(String),
}

/// What a style says itself. The inner `None` is an edge or a fill that is said to be absent.
#[derive(Clone, Debug, Default)]
struct Own {
    parent: Option<String>,
    fill: Option<Option<Colour>>,
    /// Top, right, bottom, left.
    edges: [Option<Option<Edge>>; 4],
    /// Whether it strikes out.
    struck: Option<bool>,
    /// Whether cells take another style where a condition holds.
    mapped: bool,
}

/// How many parents a style may have above it.
const GENERATIONS: usize = 50;

impl Styles {
    /// Takes note of an element that belongs to the styles. Tells whether it was one.
    pub(super) fn note(&mut self, start: &BytesStart<'_>) -> Result<bool, Fault> {
        match start.name().as_ref() {
            "style:style" => {
                let (mut name, mut family, mut parent) = (String::new(), String::new(), None);
                for (key, value) in attributes(start) {
                    match key {
                        "style:name" => name = value.into_owned(),
                        "style:family" => family = value.into_owned(),
                        "style:parent-style-name" => parent = Some(value.into_owned()),
                        _ => {}
                    }
                }
                self.open = if family == "table-cell" {
                    self.cells.insert(name.clone(), Own { parent, ..Own::default() });
                    Open::Cell(name)
                } else {
                    Open::Other(name)
                };
            }
            "style:default-style" => {
                let of_cells =
                    attributes(start).any(|(key, value)| key == "style:family" && value == "table-cell");
                self.open = if of_cells { Open::Base } else { Open::None };
            }
            "style:table-properties" => {
                if let Open::Other(name) = &self.open {
                    for (key, value) in attributes(start) {
                        let sheets = match (key, &*value) {
                            ("table:display", "false") => &mut self.hidden,
                            ("style:writing-mode", "rl-tb" | "rl") => &mut self.right_to_left,
                            _ => continue,
                        };
                        sheets.insert(name.clone());
                    }
                }
            }
            "style:table-cell-properties" | "style:text-properties" => match &self.open {
                Open::Base => self.base.note(start),
                Open::Cell(name) => {
                    if let Some(own) = self.cells.get_mut(name) {
                        own.note(start);
                    }
                }
                Open::None | Open::Other(_) => {}
            },
            // What cells of this style look like where a condition holds.
            "style:map" => {
                if let Open::Cell(name) = &self.open
                    && let Some(own) = self.cells.get_mut(name)
                {
                    own.mapped = true;
                }
            }
            // Formats of numbers have such maps too.
            name if name.starts_with("number:") && name.ends_with("-style") => self.open = Open::None,
            _ => return Ok(false),
        }
        if self.cells.len() + self.hidden.len() + self.right_to_left.len() > limits::TABLE_ENTRIES {
            return Err(Fault::too_many("styles", limits::TABLE_ENTRIES as u64));
        }
        Ok(true)
    }

    /// Whether sheets of this style are hidden.
    pub(super) fn hides(&self, name: &str) -> bool {
        self.hidden.contains(name)
    }

    /// Whether sheets of this style are shown from right to left.
    pub(super) fn turns(&self, name: &str) -> bool {
        self.right_to_left.contains(name)
    }

    /// The look of cells of this style, and whether they may look otherwise where a condition holds.
    pub(super) fn look(&mut self, name: &str) -> (Look, bool) {
        if let Some(look) = self.looks.get(name) {
            return *look;
        }
        let mut whole = Own::default();
        let mut next = self.cells.get(name);
        for _ in 0..GENERATIONS {
            let Some(own) = next else { break };
            whole.inherit(own);
            next = own.parent.as_ref().and_then(|parent| self.cells.get(parent));
        }
        whole.inherit(&self.base);
        let look = (whole.look(), whole.mapped);
        if self.cells.contains_key(name) {
            self.looks.insert(name.to_owned(), look);
        }
        look
    }
}

impl Own {
    fn note(&mut self, start: &BytesStart<'_>) {
        // What is said of all edges comes before what is said of one, wherever it stands.
        for (key, value) in attributes(start) {
            match key {
                "fo:background-color" => {
                    self.fill = Some(value.strip_prefix('#').and_then(Colour::from_hex));
                }
                "fo:border" => self.edges = [Some(edge(&value)); 4],
                "style:text-line-through-style" => self.struck = Some(value != "none"),
                _ => {}
            }
        }
        for (key, value) in attributes(start) {
            let side = match key {
                "fo:border-top" => 0,
                "fo:border-right" => 1,
                "fo:border-bottom" => 2,
                "fo:border-left" => 3,
                _ => continue,
            };
            self.edges[side] = Some(edge(&value));
        }
    }

    /// Takes from a parent what is not said yet.
    fn inherit(&mut self, parent: &Self) {
        self.fill = self.fill.or(parent.fill);
        self.struck = self.struck.or(parent.struck);
        self.mapped |= parent.mapped;
        for (edge, inherited) in self.edges.iter_mut().zip(parent.edges) {
            *edge = edge.or(inherited);
        }
    }

    fn look(&self) -> Look {
        let [top, right, bottom, left] = self.edges.map(Option::flatten);
        Look { fill: self.fill.flatten(), top, right, bottom, left, struck: self.struck.unwrap_or_default() }
    }
}

/// A line such as `0.74pt solid #000000`; `None` for `none`.
fn edge(text: &str) -> Option<Edge> {
    // Lines of an ordinary grid are three quarters of a point or less, "medium" ones one and three quarters.
    const HEAVY: f64 = 1.25;
    let (mut heavy, mut colour, mut any) = (false, Colour::BLACK, false);
    for word in text.split_ascii_whitespace() {
        if let Some(digits) = word.strip_prefix('#') {
            colour = Colour::from_hex(digits)?;
        } else if let Some(points) = points(word) {
            any = points > 0.0;
            heavy |= points >= HEAVY;
        } else {
            match word {
                "none" | "hidden" => return None,
                word => heavy |= word.starts_with("double"),
            }
        }
    }
    any.then_some(Edge { heavy, colour })
}

/// A length in points.
fn points(text: &str) -> Option<f64> {
    let named = match text {
        "thin" => Some(0.75),
        "medium" => Some(1.75),
        "thick" => Some(2.5),
        _ => None,
    };
    named.or_else(|| {
        [("pt", 1.0), ("cm", 28.346), ("mm", 2.8346), ("in", 72.0), ("px", 0.75)]
            .iter()
            .find_map(|(unit, factor)| Some(text.strip_suffix(unit)?.parse::<f64>().ok()? * factor))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(heavy: bool, digits: &str) -> Option<Edge> {
        Some(Edge { heavy, colour: Colour::from_hex(digits).unwrap() })
    }

    /// Source: lines as LibreOffice writes them for its own and for Excel's weights.
    #[test]
    fn lines_are_read_with_their_weight() {
        for (text, edge_read) in [
            ("0.74pt solid #000000", line(false, "000000")),
            ("0.06pt dotted #808080", line(false, "808080")),
            ("1.76pt solid #ff0000", line(true, "FF0000")),
            ("2.49pt solid #000000", line(true, "000000")),
            ("0.088cm solid #000000", line(true, "000000")),
            ("1pt double-thin #000000", line(true, "000000")),
            ("thick solid #000000", line(true, "000000")),
            ("none", None),
            ("0pt solid #000000", None),
            ("", None),
        ] {
            assert_eq!(edge(text), edge_read, "{text}");
        }
    }

    #[test]
    fn a_style_takes_from_its_parent_what_it_does_not_say() {
        let mut styles = Styles::default();
        for tag in [
            r#"style:default-style style:family="table-cell""#,
            r##"style:table-cell-properties fo:border-left="2.5pt solid #000000""##,
            r#"style:style style:name="Base" style:family="table-cell""#,
            r##"style:table-cell-properties fo:background-color="#d9d9d9" fo:border="none""##,
            r#"style:style style:name="ce1" style:family="table-cell" style:parent-style-name="Base""#,
            r##"style:table-cell-properties fo:border-top="2.5pt solid #ff0000" fo:border="0.74pt solid #000000""##,
            r#"style:text-properties fo:font-size="11pt" style:text-line-through-style="solid""#,
            r#"style:style style:name="ce3" style:family="table-cell" style:parent-style-name="ce1""#,
            r#"style:text-properties style:text-line-through-style="none""#,
            r#"style:style style:name="T1" style:family="text""#,
            r#"style:text-properties style:text-line-through-style="solid""#,
            r#"style:style style:name="ce2" style:family="table-cell" style:parent-style-name="ce1""#,
            r#"style:table-cell-properties fo:background-color="transparent""#,
            r#"style:style style:name="loop" style:family="table-cell" style:parent-style-name="loop""#,
            r#"style:style style:name="ta1" style:family="table""#,
            r#"style:table-properties table:display="false""#,
            r#"style:style style:name="ta2" style:family="table""#,
            r#"style:table-properties table:display="true" style:writing-mode="rl-tb""#,
        ] {
            let name = tag.split(' ').next().unwrap().len();
            assert_eq!(styles.note(&BytesStart::from_content(tag, name)), Ok(true));
        }
        let grey = Colour::from_hex("D9D9D9");
        let (thin, red, heavy) = (line(false, "000000"), line(true, "FF0000"), line(true, "000000"));
        assert_eq!(styles.look("Base").0, Look { fill: grey, ..Look::default() });
        assert_eq!(
            styles.look("ce1").0,
            Look { fill: grey, top: red, right: thin, bottom: thin, left: thin, struck: true }
        );
        assert_eq!(
            styles.look("ce2").0,
            Look { fill: None, top: red, right: thin, bottom: thin, left: thin, struck: true }
        );
        assert!(!styles.look("ce3").0.struck && !styles.look("Base").0.struck);
        assert_eq!(styles.look("loop").0, Look { left: heavy, ..Look::default() });
        assert!(styles.hides("ta1") && !styles.hides("ta2") && !styles.hides("ce1"));
        assert!(styles.turns("ta2") && !styles.turns("ta1"));
    }

    /// Source: OpenDocument 1.3 part 3, 16.3 style:map, which styles of cells and formats of numbers may have.
    #[test]
    fn conditions_belong_to_the_style_they_stand_in() {
        let mut styles = Styles::default();
        for tag in [
            r#"style:style style:name="ce1" style:family="table-cell""#,
            r#"style:map style:condition="cell-content()=&quot;x&quot;" style:apply-style-name="Grey""#,
            r#"style:style style:name="ce2" style:family="table-cell""#,
            r#"number:number-style style:name="N104""#,
            r#"style:map style:condition="value()&gt;=0" style:apply-style-name="N104P0""#,
        ] {
            let name = tag.split(' ').next().unwrap().len();
            assert_eq!(styles.note(&BytesStart::from_content(tag, name)), Ok(true), "{tag}");
        }
        assert_eq!([styles.look("ce1").1, styles.look("ce2").1], [true, false]);
    }
}
