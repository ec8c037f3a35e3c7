//! The dictionary against its sources, and its arithmetic.

use super::*;

fn id(name: &str) -> StitchId {
    Stitches::built_in().find(name).unwrap()
}

#[test]
fn the_fixed_ids_are_the_stitches_they_name() {
    assert_eq!(
        [Stitches::K, Stitches::P, Stitches::YO, Stitches::YO2],
        [id("k"), id("p"), id("yo"), id("yo2")]
    );
}

#[test]
fn entries_are_whole() {
    for (_, stitch) in Stitches::every() {
        assert_eq!(stitch.faces.len(), stitch.makes as usize, "{}: a face for each loop made", stitch.name);
        for other in [&stitch.ws, &stitch.mirror, &stitch.form_of, &stitch.same_as].into_iter().flatten() {
            assert!(Stitches::built_in().known(other).is_some(), "{}: {other} is no stitch", stitch.name);
        }
        let words = stitch.words(Terms::Us);
        assert!(!words.short.is_empty() && !words.long.is_empty() && !words.explain.is_empty());
    }
}

/// An opposite uses and makes the same loops and shows the other faces to the knitter.
#[test]
fn opposites_and_mirrors_keep_the_arithmetic() {
    for (id, stitch) in Stitches::every() {
        let mut all = Stitches::built_in();
        if let Some(ws) = all.opposite(id) {
            let ws = all.get(ws);
            assert_eq!((stitch.uses, stitch.makes), (ws.uses, ws.makes), "{} and {}", stitch.name, ws.name);
            for (face, other) in stitch.faces.iter().zip(&ws.faces) {
                let flipped = match face {
                    Face::Knit => Face::Purl,
                    Face::Purl => Face::Knit,
                    same => *same,
                };
                if stitch.name != "co" {
                    assert_eq!(flipped, *other, "{} and {}", stitch.name, ws.name);
                }
            }
        }
        if let Some(mirror) = all.mirror(id) {
            let mirror = all.get(mirror);
            assert_eq!((stitch.uses, stitch.makes), (mirror.uses, mirror.makes), "{}", stitch.name);
        }
    }
}

#[test]
fn own_stitches_are_described_as_they_are() {
    let own = OwnStitch { name: "MB".into(), makes: Some(2), ws: Some("p".into()), ..OwnStitch::default() };
    let all = Stitches::with_own(&[own]);
    assert_eq!(Stitches::with_own(&all.described()), all);
}

/// Stitches that make the same fabric weigh and show the same, and their opposites do not tell them apart.
#[test]
fn stitches_alike_keep_the_arithmetic() {
    let mut all = Stitches::built_in();
    let skp = id("skp");
    assert_eq!(all.alike(skp), id("ssk"));
    let red = all.coloured(skp, "red").unwrap();
    assert_eq!(Some(all.alike(red)), all.coloured(id("ssk"), "red"));
    for (id, stitch) in Stitches::every() {
        let alike = all.alike(id);
        assert_eq!(all.alike(alike), alike, "{}", stitch.name);
        let other = all.get(alike);
        assert_eq!(
            (stitch.uses, stitch.makes, &stitch.faces),
            (other.uses, other.makes, &other.faces),
            "{}",
            stitch.name
        );
    }
}

/// Source: standards.md section 3, "Working on the WS for the same RS look" (K1, K11, K12, K13-K15).
#[test]
fn opposites_are_the_published_ones() {
    for (rs, ws) in [
        ("k", "p"),
        ("ktbl", "ptbl"),
        ("sl1wyib", "sl1wyif"),
        ("yo", "yo"),
        ("k2tog", "p2tog"),
        ("p2tog", "k2tog"),
        ("ssk", "ssp"),
        ("skp", "ssp"),
        ("p2togtbl", "k2togtbl"),
        ("k3tog", "p3tog"),
        ("sssk", "sssp"),
        ("s2kp", "s2pp"),
        ("m1l", "m1lp"),
        ("m1r", "m1rp"),
        ("kfb", "pfb"),
    ] {
        let mut all = Stitches::built_in();
        let rs = all.find(rs).unwrap();
        assert_eq!(all.opposite(rs), all.find(ws));
    }
    let mut all = Stitches::built_in();
    let sk2p = all.find("sk2p").unwrap();
    assert_eq!(all.opposite(sk2p), None, "K17 disputes the usual answer");
}

/// Source: standards.md section 5 (U1, U2, U3): the UK yarn overs by their neighbours.
#[test]
fn uk_yarn_overs_go_by_their_neighbours() {
    let form = |before, after| Stitches::yarn_over_form(before, after);
    assert_eq!(form(false, false), id("yfwd"));
    assert_eq!(form(true, true), id("yrn"));
    assert_eq!(form(false, true), id("yrn"));
    assert_eq!(form(true, false), id("yon"));
}
