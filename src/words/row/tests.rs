//! Rows as they are printed, and what is told of those that can't be read.

use super::*;
use crate::written::Extent;
use crate::written::expand;

fn works(text: &str, loops: u32) -> String {
    let mut stitches = Stitches::built_in();
    let items = row(text, &mut stitches).unwrap_or_else(|error| panic!("{text:?}: {error:?}"));
    let row = expand(&items, &stitches, loops).unwrap_or_else(|misfit| panic!("{text:?}: {misfit:?}"));
    row.iter().map(|&id| stitches.get(id).name.as_str()).collect::<Vec<_>>().join(" ")
}

/// Conventions of standards.md section 5 (W1, W2, W5) and domain.md section 5, expanded by hand.
#[test]
fn rows_in_print() {
    for (text, loops, stitches) in [
        ("K3, p to last 3 sts, k3", 8, "k k k p p k k k"),
        ("Purl.", 3, "p p p"),
        ("k", 2, "k k"),
        ("P to end.", 3, "p p p"),
        ("*K2, p2; rep from * to end.", 8, "k k p p k k p p"),
        ("*K2, p2; rep from * to last 2 sts, k2.", 6, "k k p p k k"),
        ("K1, *p1, k1; rep from * to end", 5, "k p k p k"),
        ("[K1, yo] twice, k1", 3, "k yo k yo k"),
        ("(k2tog) 3 times", 6, "k2tog k2tog k2tog"),
        ("k2tog 3 times", 6, "k2tog k2tog k2tog"),
        ("sl 1, k2tog, psso, k1", 4, "sk2p k"),
        ("Sl 1 wyif, k to last st, sl 1 wyif", 4, "sl1wyif k k sl1wyif"),
        ("(k1, yo, k1) in next st, p2", 3, "kyok p p"),
        ("2/2 RC, p1", 5, "2/2rc p"),
        ("yo twice, k2tog", 2, "yo2 k2tog"),
        ("*k1, p1; rep from * 2 more times", 6, "k p k p k p"),
        ("bo 2, k to end", 4, "bo bo k k"),
        ("knit 2, purl 2", 4, "k k p p"),
        ("[[k1, p1] twice, yo] twice", 8, "k p k p yo k p k p yo"),
    ] {
        assert_eq!(works(text, loops), stitches, "{text:?}");
    }
}

/// Repeats as they are printed: standards.md W1, W2, W4, W13, P8, P1a, P2a; the others common practice. Expanded
/// by hand.
#[test]
fn repeats_in_print() {
    for (text, loops, stitches) in [
        ("*k1, p1*; rep from * to * twice more", 6, "k p k p k p"),
        ("*k1, p1* 3 times", 6, "k p k p k p"),
        ("*K2, p2, repeat from * two times more", 12, "k k p p k k p p k k p p"),
        ("*k1, p1; rep from * a total of 3 times", 6, "k p k p k p"),
        ("*k1, p1; rep from * 3 times", 8, "k p k p k p k p"),
        ("**k1, *p1; rep from * once more; rep from ** to end", 6, "k p p k p p"),
        ("** k1, p1 **; rep from ** to ** to last st, k1", 5, "k p k p k"),
        ("(k2tog)x3, (yo, k1)×2", 8, "k2tog k2tog k2tog yo k yo k"),
        ("[k1, (p1, k1) twice] to last st, k1", 6, "k p k p k k"),
        ("k1, *p1, k1; rep from *", 5, "k p k p k"),
        ("*yo, k2tog; rep from *, k1", 5, "yo k2tog yo k2tog k"),
        ("k1, *yo, k3; rep from * to end, ending last repeat k2 instead of k3", 6, "k yo k k k yo k k"),
        ("k2, *yo, k2tog; repeat from * across, ending with k2", 8, "k k yo k2tog yo k2tog k k"),
        ("*p1, k2; rep from * to end, end last rep k1", 5, "p k k p k"),
        ("*p1, k2; rep from * to end (last repeat ends k1 for k2)", 5, "p k k p k"),
        ("rep [k1, p1] twice, k1", 5, "k p k p k"),
        ("4x (k1, p1), k1", 9, "k p k p k p k p k"),
        ("K1, twice [p1, 2 × {k1, yo}], work 2 times (k2tog)", 11, "k p k yo k yo p k yo k yo k2tog k2tog"),
        ("2 times (k1, yo, k1) in next st, rep 2 times (p1)", 4, "kyok kyok p p"),
        ("K1, *yo, k2tog; rep from * until 1 st remains, k1", 4, "k yo k2tog k"),
        ("K2 p2 k2tog yo", 6, "k k p p k2tog yo"),
        ("Sl 1 kwise, k2tog, psso, k1", 4, "sk2p k"),
        ("k next 2 sts, bind off 2 sts, k to end", 6, "k k bo bo k k"),
        ("k2, (p1, k1) into double yo, k2", 6, "k k p k k k"),
        ("(k1, yo, k1) all in next st", 1, "kyok"),
        ("(k1, p1, k1) in each of next 2 sts", 2, "kpk kpk"),
        ("repeat the following twice: knit 1, yarn over; end of repeat; then knit 1", 3, "k yo k yo k"),
        (
            "Repeat the following two times. Knit one. Repeat this inner group twice. Purl one. End of inner \
             group. End of repeat. Knit two together.",
            8,
            "k p p k p p k2tog",
        ),
        ("knit one", 1, "k"),
    ] {
        assert_eq!(works(text, loops), stitches, "{text:?}");
    }
}

/// "Rep from * 3 times" has two readings; what the words alone can't tell, the stitches may.
#[test]
fn times_that_may_count_the_first_are_read_both_ways() {
    let mut stitches = Stitches::built_in();
    let means = Means::default();
    let colours = Colours::default();
    let side = Some(Side::Ws);
    let mut context =
        Context { stitches: &mut stitches, means: &means, side, colours: &colours, colour: None };
    let read = work("*k1, p1; rep from * 3 times", &mut context);
    let times = |pieces: &[Piece]| match pieces {
        [Piece::Work(Item::Repeat { extent: Extent::Times(times), .. })] => *times,
        other => panic!("{other:?}"),
    };
    assert_eq!((times(&read.pieces), read.others.first().map(|(_, other)| times(other))), (4, Some(3)));
    let read = work("sl 1, k to 2 sts before m, sm, k2", &mut context);
    assert_eq!((read.bare_slips.first().cloned(), read.markers), (Some(0..4), true));
    assert!(matches!(read.pieces[..], [_, Piece::UntilMarker { before: 2, .. }, Piece::Slip(None), _]));
    let read = work("k2, xyz 3, k2, dec 1, turn, k2", &mut context);
    let told: Vec<_> = read.errors.iter().map(|error| error.mistake).collect();
    assert_eq!(told, [RowMistake::UnknownWords, RowMistake::UnknownWords, RowMistake::BeyondRows]);
}

#[test]
fn mistakes_are_placed() {
    let mistake = |text: &str| {
        let error = row(text, &mut Stitches::built_in()).unwrap_err();
        (text[error.at].to_owned(), error.mistake)
    };
    assert_eq!(mistake("k3, dec 1, k3"), ("dec 1".into(), RowMistake::UnknownWords));
    assert_eq!(mistake("k3, [p1, k1"), ("[p1, k1".into(), RowMistake::Unclosed));
    assert_eq!(mistake("k3, [p1, k1], k3"), ("[p1, k1]".into(), RowMistake::NoExtent));
    assert_eq!(mistake("2 times (k1, p1) 3 times"), ("3 times".into(), RowMistake::UnknownWords));
    assert_eq!(mistake("2 times (k1, p1"), ("(k1, p1".into(), RowMistake::Unclosed));
    assert_eq!(mistake("k3) p"), (")".into(), RowMistake::Unclosed));
    assert_eq!(mistake("").1, RowMistake::Empty);
}
