//! Stitches of the designer's own in the settings file.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::super::BadValue;
use super::super::value::number;
use super::{Reader, entries, texts};
use crate::problem::{Code, Finding};
use crate::stitch::{Face, OwnStitch, face_letter};

/// The most loops that one stitch may use or make; a bobble makes a handful.
const MOST_LOOPS: u32 = 500;

impl Reader<'_> {
    /// Reads the stitches below their headings.
    pub(super) fn stitches(&mut self, table: &DeTable) {
        for (name, value, at) in entries(table) {
            match value.get_ref() {
                DeValue::Table(parts) => {
                    let own = self.own_stitch(name, parts);
                    // What a stitch of one's own does to the count is never guessed.
                    for (part, given) in [("uses", own.uses), ("makes", own.makes)] {
                        if given.is_none() && !parts.keys().any(|key| key.get_ref() == part) {
                            let message =
                                format!("The stitch \"{name}\" does not say how many stitches it {part}.");
                            let finding = Finding::new(Code::WrongSetting, self.place(at), message)
                                .expected(format!("{part} = 1"))
                                .help(format!("Add a line below its heading: `{part} = 1`."));
                            self.findings.push(finding);
                        }
                    }
                    self.settings.stitches.push(own);
                }
                _ => {
                    let expected = format!("a heading [stitch.{name}] with its settings below it");
                    let found = self.quoted(value);
                    self.bad(name, at, BadValue::new(found, expected));
                }
            }
        }
    }

    fn own_stitch(&mut self, name: &str, table: &DeTable) -> OwnStitch {
        const PARTS: &[&str] =
            &["uses", "makes", "short", "long", "explain", "ws", "mirror", "faces", "cells"];
        let mut own = OwnStitch { name: name.to_owned(), ..OwnStitch::default() };
        for (part, value, at) in entries(table) {
            match part {
                "uses" => own.uses = self.loops(part, value, 0),
                "makes" => own.makes = self.loops(part, value, 0),
                "cells" => own.cells = self.loops(part, value, 1),
                "short" => own.short = self.text(part, value),
                "long" => own.long = self.text(part, value),
                "explain" => own.explain = self.text(part, value),
                "ws" => own.ws = self.text(part, value),
                "mirror" => own.mirror = self.text(part, value),
                "faces" => own.faces = self.faces(value),
                _ => self.unknown("part of a stitch called", part, at, PARTS),
            }
        }
        own
    }

    fn loops(&mut self, name: &str, value: &Spanned<DeValue>, least: u32) -> Option<u32> {
        let given = texts(value.get_ref()).unwrap_or_default().concat();
        match number(&[&given], least, MOST_LOOPS, "a whole number") {
            Ok(loops) => Some(loops),
            Err(bad) => {
                let found = self.quoted(value);
                self.bad(name, value.span().start, BadValue { found, ..bad });
                None
            }
        }
    }

    /// Faces as letters, "kpk", or as a list of letters or words.
    fn faces(&mut self, value: &Spanned<DeValue>) -> Option<Vec<Face>> {
        let given = texts(value.get_ref()).unwrap_or_default();
        let faces: Option<Vec<Face>> = match value.get_ref() {
            DeValue::String(letters) => {
                letters.chars().filter(|c| !c.is_whitespace()).map(face_letter).collect()
            }
            _ => given.iter().map(|face| face_named(face)).collect(),
        };
        let faces = faces.filter(|faces| !faces.is_empty());
        if faces.is_none() {
            let expected = "a letter for each loop the stitch makes: k knit, p purl, o yarn over, s as before; such as \"kpk\"";
            let found = self.quoted(value);
            self.bad("faces", value.span().start, BadValue::new(found, expected));
        }
        faces
    }
}

fn face_named(face: &str) -> Option<Face> {
    match face {
        "knit" => Some(Face::Knit),
        "purl" => Some(Face::Purl),
        "yarn over" => Some(Face::Over),
        "same" => Some(Face::Same),
        _ => {
            let mut letters = face.chars();
            letters.next().filter(|_| letters.next().is_none()).and_then(face_letter)
        }
    }
}
