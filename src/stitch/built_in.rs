//! The stitches of `stitches.toml`.

use std::sync::{Arc, LazyLock};

use foldhash::{HashMap, HashMapExt};
use serde::Deserialize;

use super::{Face, Stitch, StitchId, Words, cable, face_letter};
use crate::tables::{self, table};

/// One entry of `stitches.toml`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Entry {
    name: String,
    uses: u32,
    makes: u32,
    faces: String,
    ws: Option<String>,
    mirror: Option<String>,
    form_of: Option<String>,
    same_as: Option<String>,
    #[serde(default)]
    between: Vec<String>,
    yarn: Option<String>,
    short: String,
    run: Option<String>,
    bare: Option<String>,
    whole: Option<String>,
    long: String,
    long_run: Option<String>,
    long_bare: Option<String>,
    explain: String,
    #[serde(default)]
    read: Vec<String>,
    /// What UK terms call otherwise.
    uk: Option<Words>,
}

#[derive(Deserialize)]
struct Data {
    stitch: Vec<Entry>,
    cable: cable::Cables,
}

/// The stitches of the data, and what is found by them.
pub(super) struct BuiltIn {
    pub(super) stitches: Vec<Stitch>,
    pub(super) by_name: HashMap<String, StitchId>,
    /// The opposite of each on the other side and its mirror, where they are built in too.
    pub(super) opposites: Vec<Option<StitchId>>,
    pub(super) mirrors: Vec<Option<StitchId>>,
    /// Other ways to write each, as in the data: words and the stitch they mean.
    pub(super) phrases: Vec<(String, StitchId)>,
    /// The forms of a yarn over: where the yarn lies before and after, and the stitch.
    pub(super) forms: Vec<((bool, bool), StitchId)>,
    pub(super) cables: cable::Cables,
}

pub(super) static BUILT_IN: LazyLock<BuiltIn> = LazyLock::new(|| {
    let data: Data = tables::read(table!("stitch/stitches"));
    let mut built_in = BuiltIn {
        stitches: Vec::new(),
        by_name: HashMap::new(),
        opposites: Vec::new(),
        mirrors: Vec::new(),
        phrases: Vec::new(),
        forms: Vec::new(),
        cables: data.cable,
    };
    for entry in data.stitch {
        let id = StitchId(built_in.stitches.len() as u16);
        built_in.by_name.insert(entry.name.clone(), id);
        for words in &entry.read {
            built_in.phrases.push((words.clone(), id));
        }
        for sides in &entry.between {
            let mut front = sides.chars().map(|side| side == 'p');
            let pair = (front.next().unwrap_or(false), front.next().unwrap_or(false));
            built_in.forms.push((pair, id));
        }
        built_in.stitches.push(entry.into_stitch());
    }
    let named = |name: &Option<String>| built_in.by_name.get(name.as_deref()?).copied();
    built_in.opposites = built_in.stitches.iter().map(|stitch| named(&stitch.ws)).collect();
    built_in.mirrors = built_in.stitches.iter().map(|stitch| named(&stitch.mirror)).collect();
    built_in
});

impl Entry {
    fn into_stitch(self) -> Stitch {
        let faces: Vec<Face> = self.faces.chars().filter_map(face_letter).collect();
        let front = |face: Option<&Face>| face == Some(&Face::Purl);
        let yarn_in_front = match self.yarn.as_deref() {
            Some(side) => (side == "p", side == "p"),
            None => (front(faces.first()), front(faces.last())),
        };
        let us = Words {
            short: self.short,
            run: self.run,
            bare: self.bare,
            whole: self.whole,
            long: self.long,
            long_run: self.long_run,
            long_bare: self.long_bare,
            explain: self.explain,
        };
        let us = Arc::new(us);
        let uk = self.uk.map_or_else(|| Arc::clone(&us), |own| Arc::new(over(own, &us)));
        Stitch {
            name: self.name,
            uses: self.uses,
            makes: self.makes,
            cells: 1,
            faces,
            ws: self.ws,
            mirror: self.mirror,
            form_of: self.form_of,
            same_as: self.same_as,
            yarn_in_front,
            wide: false,
            own: false,
            colour: None,
            us,
            uk,
        }
    }
}

/// Words of other terms, with what they have no words for taken from these.
fn over(own: Words, base: &Words) -> Words {
    let told = |own: String, base: &String| if own.is_empty() { base.clone() } else { own };
    Words {
        short: told(own.short, &base.short),
        run: own.run.or_else(|| base.run.clone()),
        bare: own.bare.or_else(|| base.bare.clone()),
        whole: own.whole.or_else(|| base.whole.clone()),
        long: told(own.long, &base.long),
        long_run: own.long_run.or_else(|| base.long_run.clone()),
        long_bare: own.long_bare.or_else(|| base.long_bare.clone()),
        explain: told(own.explain, &base.explain),
    }
}
