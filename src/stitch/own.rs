//! A designer's own stitches.

use std::sync::Arc;

use super::{Face, Stitch, Words};

/// A stitch of the designer's own, as the settings give it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnStitch {
    /// Its name, case kept.
    pub name: String,
    /// Loops used; 1 unless said.
    pub uses: Option<u32>,
    /// Loops made; 1 unless said.
    pub makes: Option<u32>,
    /// Cells in a chart; 1 unless said.
    pub cells: Option<u32>,
    /// Abbreviation; the name unless said.
    pub short: Option<String>,
    /// Spelled out; the abbreviation unless said.
    pub long: Option<String>,
    /// How it is worked.
    pub explain: Option<String>,
    /// Its opposite on the WS.
    pub ws: Option<String>,
    /// Its mirror.
    pub mirror: Option<String>,
    /// Faces of the loops it makes; knit unless said.
    pub faces: Option<Vec<Face>>,
}

impl OwnStitch {
    pub(super) fn to_stitch(&self) -> Stitch {
        let makes = self.makes.unwrap_or(1);
        let faces = self.faces.clone().unwrap_or_default();
        // One face stands for all the loops; what is not said is a knit face.
        let last = faces.last().copied().unwrap_or(Face::Knit);
        let faces: Vec<Face> =
            (0..makes as usize).map(|index| faces.get(index).copied().unwrap_or(last)).collect();
        let short = self.short.clone().unwrap_or_else(|| self.name.clone());
        let words = Arc::new(Words {
            long: self.long.clone().unwrap_or_else(|| short.clone()),
            explain: self.explain.clone().unwrap_or_default(),
            short,
            ..Words::default()
        });
        let front = |face: Option<&Face>| face == Some(&Face::Purl);
        Stitch {
            name: self.name.clone(),
            uses: self.uses.unwrap_or(1),
            makes,
            cells: self.cells.unwrap_or(1),
            yarn_in_front: (front(faces.first()), front(faces.last())),
            faces,
            ws: self.ws.clone(),
            mirror: self.mirror.clone(),
            form_of: None,
            same_as: None,
            wide: false,
            own: true,
            colour: None,
            us: Arc::clone(&words),
            uk: words,
        }
    }
}
