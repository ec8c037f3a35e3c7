//! Cables and twists of any size, made from their names by rule.
//!
//! `2/1rpc`: the first number crosses in front, the last passes behind; a number between them is a centre that
//! stays where it is. `r` and `l` say which way the front stitches travel; `p` says that what passes behind (or
//! the centre, where there is one) is purled; `c` is worked with a cable needle, `t` is a twist.

use std::cell::RefCell;
use std::sync::Arc;

use foldhash::{HashMap, HashMapExt};
use serde::Deserialize;

use super::{Face, Stitch, Words};

/// The kinds of cable of the dictionary.
#[derive(Deserialize)]
pub(super) struct Cables {
    templates: Vec<Template>,
}

#[derive(Deserialize)]
struct Template {
    ending: String,
    mirror: String,
    short: String,
    long: String,
}

/// The widest group of stitches a cable may cross.
const WIDEST_GROUP: u32 = 24;

impl Cables {
    /// As [`Cables::make`]. The charts of an archive have the same few cables over and over.
    pub(super) fn known_or_made(&self, name: &str) -> Option<Arc<Stitch>> {
        const KEPT: usize = 200;
        thread_local! {
            static KNOWN: RefCell<HashMap<String, Arc<Stitch>>> = RefCell::new(HashMap::new());
        }
        if let Some(known) = KNOWN.with_borrow(|known| known.get(name).cloned()) {
            return Some(known);
        }
        let made = Arc::new(self.make(name)?);
        KNOWN.with_borrow_mut(|known| {
            if known.len() >= KEPT {
                known.clear();
            }
            known.insert(name.to_owned(), Arc::clone(&made));
        });
        Some(made)
    }

    /// The cable with this canonical name, if it is one.
    fn make(&self, name: &str) -> Option<Stitch> {
        let digits_end = name.rfind(|c: char| c.is_ascii_digit())? + 1;
        let (sizes, ending) = name.split_at(digits_end);
        let template = self.templates.iter().find(|template| template.ending == ending)?;
        let groups: Vec<u32> = sizes.split('/').map(group).collect::<Option<_>>()?;
        let (front, centre, back) = match groups[..] {
            [front, back] => (front, 0, back),
            [front, centre, back] => (front, centre, back),
            _ => return None,
        };
        let right = ending.starts_with('r');
        let purled = ending.contains('p');
        let width = front + centre + back;
        // In the order worked: a right cross works the front group first, a left cross the back group.
        let face = |purl: bool| if purl { Face::Purl } else { Face::Knit };
        let group = |size: u32, purl: bool| std::iter::repeat_n(face(purl), size as usize);
        let back_purled = purled && centre == 0;
        let centre_purled = purled && centre > 0;
        let faces: Vec<Face> = if right {
            group(front, false).chain(group(centre, centre_purled)).chain(group(back, back_purled)).collect()
        } else {
            group(back, back_purled).chain(group(centre, centre_purled)).chain(group(front, false)).collect()
        };
        let front_of_work = |face: Option<&Face>| face == Some(&Face::Purl);
        let words = Arc::new(Words {
            short: format!("{sizes} {}", template.short),
            long: format!("{} {}", sizes.replace('/', " over "), template.long),
            explain: explain(front, centre, back, right, purled, ending.ends_with('t')),
            ..Words::default()
        });
        Some(Stitch {
            name: name.to_owned(),
            uses: width,
            makes: width,
            cells: width,
            yarn_in_front: (front_of_work(faces.first()), front_of_work(faces.last())),
            faces,
            ws: None,
            mirror: Some(format!("{sizes}{}", template.mirror)),
            form_of: None,
            same_as: None,
            wide: true,
            own: false,
            colour: None,
            us: Arc::clone(&words),
            uk: words,
        })
    }
}

fn group(digits: &str) -> Option<u32> {
    let size: u32 = digits.parse().ok()?;
    (!digits.starts_with('0') && (1..=WIDEST_GROUP).contains(&size)).then_some(size)
}

fn explain(front: u32, centre: u32, back: u32, right: bool, purled: bool, twist: bool) -> String {
    let stitches = |n: u32| if n == 1 { "1 stitch".to_owned() } else { format!("{n} stitches") };
    if twist && front == 1 && back == 1 && centre == 0 && !purled {
        return if right {
            "Knit 2 together but leave them on the left needle, knit the first of them again, slip both off."
                .into()
        } else {
            "Knit the second stitch through the back loop, then the first, and slip both off together.".into()
        };
    }
    let verb = |purl: bool| if purl { "purl" } else { "knit" };
    let (first, second) = if right { (front, back) } else { (back, front) };
    if centre == 0 {
        let (first_verb, second_verb) =
            if right { (verb(false), verb(purled)) } else { (verb(purled), verb(false)) };
        let (held, at) = if right { (back, "the back") } else { (front, "the front") };
        return format!(
            "Slip {} to the cable needle and hold at {at}, {first_verb} {first}, then {second_verb} {second} \
             from the cable needle.",
            stitches(held)
        );
    }
    // With a centre the held stitches include it; it goes back to the left needle and stays behind the front group.
    if right {
        format!(
            "Slip {} to the cable needle and hold at the back, knit {first}; slip the last {} from the cable \
             needle back to the left needle and {} {centre}; knit {second} from the cable needle.",
            stitches(centre + back),
            stitches(centre),
            verb(purled)
        )
    } else {
        format!(
            "Slip {} to a cable needle and hold at the front, slip {} to a second cable needle and hold at the \
             back, knit {first}; {} {centre} from the second cable needle; knit {second} from the first.",
            stitches(front),
            stitches(centre),
            verb(purled)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Face, Stitches};
    use Face::{Knit as K, Purl as P};

    fn faces(name: &str) -> Vec<Face> {
        let mut all = Stitches::built_in();
        let id = all.find(name).unwrap();
        all.get(id).faces.clone()
    }

    /// Source: contract.md, canonical stitch names, which gives both workings.
    #[test]
    fn travelling_cables_leave_the_stated_faces() {
        assert_eq!(faces("2/1rpc"), [K, K, P]);
        assert_eq!(faces("2/1lpc"), [P, K, K]);
        assert_eq!(faces("2/2rc"), [K; 4]);
        assert_eq!(faces("2/1/2rc"), [K; 5]);
        assert_eq!(faces("2/1/2rpc"), [K, K, P, K, K]);
        assert_eq!(faces("12/12lc").len(), 24);
    }

    /// Source: standards.md K10: 2/2 RC has the cable needle at the back, 2/2 LC at the front.
    #[test]
    fn the_cable_needle_is_held_on_the_published_side() {
        let mut all = Stitches::built_in();
        for (name, side) in [("2/2rc", "at the back"), ("2/2lc", "at the front")] {
            let id = all.find(name).unwrap();
            assert!(all.get(id).words(super::super::Terms::Us).explain.contains(side), "{name}");
        }
    }

    #[test]
    fn other_names_are_no_cables() {
        for name in
            ["", "2", "2/2", "rc", "2/2zz", "0/2rc", "02/2rc", "2//2rc", "2/2/2/2rc", "99/1rc", "-1/2rc"]
        {
            assert_eq!(Stitches::built_in().find(name), None, "{name}");
        }
    }
}
