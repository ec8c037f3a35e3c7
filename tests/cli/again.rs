//! Running again: what has not changed is not done again, and nothing is lost by it.

use std::fs::{self, File};
use std::time::{Duration, SystemTime};

use super::bench::{Bench, SCARF, TWO, WRONG};

const WRITE: [&str; 4] = ["write", "in", "--out", "rows"];

/// Two sound charts, a wrong one; all as old as charts usually are.
fn bench() -> Bench {
    let bench = Bench::with(&[("in/a.csv", SCARF), ("in/b.csv", WRONG), ("in/lace/two.csv", TWO)]);
    for file in ["in/a.csv", "in/b.csv", "in/lace/two.csv"] {
        age(&bench, file, 1000);
    }
    bench
}

/// Sets the time of a file back. That it was set shows in the time of its state, which is now.
fn age(bench: &Bench, file: &str, seconds: u64) {
    let file = File::options().append(true).open(bench.path().join(file)).unwrap();
    file.set_modified(SystemTime::now() - Duration::from_secs(seconds)).unwrap();
}

fn unchanged(run: &super::bench::Run) -> usize {
    let words = run.err.lines().last().unwrap();
    words.split("those of ").nth(1).map_or(0, |rest| rest.split(' ').next().unwrap().parse().unwrap())
}

#[test]
fn what_has_not_changed_is_told_again_but_not_done_again() {
    let bench = bench();
    let first = bench.run(&WRITE).ended(1);
    assert_eq!(unchanged(&first), 0);
    let tree = bench.tree("rows");
    let stamp = |file: &str| fs::metadata(bench.path().join(file)).unwrap().modified().unwrap();
    let before = stamp("rows/a.txt");
    let second = bench.run(&WRITE).ended(1);
    assert_eq!(unchanged(&second), 3);
    assert_eq!(second.err.replace(" (those of 3 unchanged before)", ""), first.err, "nothing is lost");
    assert_eq!(stamp("rows/a.txt"), before);
    assert_eq!(bench.tree("rows"), tree);
    assert_eq!(unchanged(&bench.run(&[&WRITE[..], &["--recheck"]].concat()).ended(1)), 3);
    assert_eq!(unchanged(&bench.run(&[&WRITE[..], &["--force"]].concat()).ended(1)), 0);
    let report = |name: &str| {
        bench.run(&[&WRITE[..], &["--report", name]].concat()).ended(1);
        bench.get(name)
    };
    let again = report("again.json");
    bench.run(&[&WRITE[..], &["--force", "--report", "anew.json"]].concat()).ended(1);
    assert_eq!(again, bench.get("anew.json"), "reports hold the findings of all files");
}

/// That the symbols of the chart are names is a note.
#[test]
fn notes_of_what_has_not_changed_count_where_notes_do() {
    let bench = Bench::with(&[("in/a.csv", SCARF)]);
    bench.run(&WRITE).ended(0).said("1 note");
    assert_eq!(unchanged(&bench.run(&WRITE).ended(0)), 1);
    let strict = bench.run(&[&WRITE[..], &["--strict"]].concat()).ended(1);
    assert_eq!(unchanged(&strict), 1, "{}", strict.err);
}

#[test]
fn each_change_has_its_file_done_again() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let run = |what: &str, kept: usize| {
        let run = bench.run(&WRITE).ended(1);
        assert_eq!(unchanged(&run), kept, "{what}: {}", run.err);
        assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3, "{what}, once more");
    };
    // The same size, and the time set back: the change shows in the state of the file.
    bench.put("in/a.csv", SCARF.replace("Scarf", "Shawl"));
    age(&bench, "in/a.csv", 1000);
    run("a changed chart", 2);
    assert!(bench.get("rows/a.txt").starts_with("Shawl"));
    age(&bench, "in/a.csv", 5000);
    run("a changed time only", 3);
    fs::remove_file(bench.path().join("rows/lace/two.B.txt")).unwrap();
    run("a result that is gone", 2);
    assert!(bench.tree("rows").contains(&"lace/two.B.txt".to_owned()));
    bench.put("in/lace/longhand.toml", "[write]\nstyle = \"uk\"\n");
    run("settings of one folder", 2);
    bench.put("in/longhand.toml", "[key]\n\"no such\" = \"p\"\n");
    run("settings of all folders", 0);
}

#[test]
fn options_and_styles_govern_too() {
    let bench = bench();
    bench.put("house.toml", "about = \"ours\"\nlike = \"uk\"\n");
    let styled = [&WRITE[..], &["--style", "house.toml"]].concat();
    bench.run(&WRITE).ended(1);
    assert_eq!(unchanged(&bench.run(&styled).ended(1)), 0);
    assert_eq!(unchanged(&bench.run(&styled).ended(1)), 3);
    bench.put("house.toml", "about = \"ours\"\nlike = \"aloud\"\n");
    assert_eq!(unchanged(&bench.run(&styled).ended(1)), 0);
    assert!(bench.get("rows/a.txt").contains("Row one"), "{}", bench.get("rows/a.txt"));
}

/// A new neighbour of the same stem changes the name of a result.
#[test]
fn a_new_neighbour_is_noticed() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    bench.put("in/a.tsv", SCARF.replace(',', "\t"));
    let run = bench.run(&WRITE).ended(1);
    assert_eq!(unchanged(&run), 2, "{}", run.err);
    assert!(bench.tree("rows").contains(&"a.csv.txt".to_owned()));
    assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 4);
}

#[test]
fn a_result_that_was_edited_is_the_users_the_second_time_too() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    bench.put("rows/a.txt", "my own words");
    for _ in 0..2 {
        bench.run(&WRITE).ended(2).said("a.txt was not written by longhand, or was edited since");
        assert_eq!(bench.get("rows/a.txt"), "my own words");
    }
    bench.run(&[&WRITE[..], &["--overwrite"]].concat()).ended(1);
    assert!(bench.get("rows/a.txt").starts_with("Scarf"));
    assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3);
}

#[test]
fn a_damaged_record_is_rebuilt_and_not_trusted() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let record = bench.get("rows/.longhand-run");
    let lines: Vec<&str> = record.lines().collect();
    let without = |gone: usize| {
        let kept = lines.iter().enumerate().filter(|(at, _)| *at != gone);
        kept.map(|(_, line)| format!("{line}\n")).collect::<String>()
    };
    let damages = [
        record.replace("scarf", "shawl").replace("in/a.csv", "in/c.csv"),
        record.replacen("  a.txt", " a.txt", 1),
        without(lines.iter().position(|line| line.ends_with("  a.txt")).unwrap()),
        without(lines.iter().position(|line| line.starts_with('{')).unwrap()),
        format!("nonsense\n{record}"),
        // Without the end of its last line, to which nothing may be joined.
        format!("nonsense\n{record}{}", "0".repeat(40)),
    ];
    let damages = damages.into_iter().map(String::into_bytes);
    // A line that is no text.
    let damages = damages.chain([[b"\xff\n", record.as_bytes()].concat()]);
    for damage in damages {
        assert_ne!(damage, record.as_bytes());
        bench.put("rows/.longhand-run", &damage);
        let run = bench.run(&WRITE).ended(1).said("damaged");
        assert_eq!(unchanged(&run), 0);
        assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3, "what stood there was taken for its own");
    }
    // What differs from what would be written may be the user's.
    bench.put("rows/.longhand-run", "nonsense\n");
    bench.put("in/a.csv", SCARF.replace("Scarf", "Shawl"));
    bench.run(&WRITE).ended(2).said("a.txt was not written by longhand");
    assert!(bench.get("rows/a.txt").starts_with("Scarf"));
}

/// A run that is killed leaves the record with its last line cut off, and parts of files.
#[test]
fn a_run_that_was_cut_short_is_taken_up() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let record = bench.get("rows/.longhand-run");
    let announced = blake3::hash(b"half a run").to_hex().to_string();
    bench.put("rows/.longhand-run", format!("{record}{announced}  a.txt\n{}", &announced[..20]));
    bench.put("rows/a.txt", "half a run");
    bench.put("rows/lace/.longhand-abC123.part", "ha");
    bench.put("rows/lace/.longhand-notes", "the user's");
    let run = bench.run(&WRITE).ended(1);
    assert!(!run.err.contains("damaged"), "{}", run.err);
    assert_eq!(unchanged(&run), 2);
    let tree = [".longhand-run", "a.txt", "lace/.longhand-notes", "lace/two.A.txt", "lace/two.B.txt"];
    assert_eq!(bench.tree("rows"), tree);
    assert!(bench.get("rows/a.txt").starts_with("Scarf"));
    assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3);
}

/// A power cut may leave files empty that a run was to write; those of runs before were on the disk.
#[test]
fn an_empty_file_is_longhands_own_where_its_run_was_cut_short() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let record = bench.get("rows/.longhand-run");
    let announced = blake3::hash(b"rows that were never seen").to_hex();
    bench.put("rows/.longhand-run", format!("{record}{announced}  a.txt\n"));
    bench.put("rows/a.txt", "");
    bench.put("rows/lace/two.A.txt", "");
    let run = bench.run(&WRITE).ended(2).said("two.A.txt was not written by longhand, or was edited since");
    assert!(!run.err.contains("a.txt was not"), "{}", run.err);
    assert!(bench.get("rows/a.txt").starts_with("Scarf"));
    // The record is in order again: what is empty now was emptied by the user.
    bench.put("rows/a.txt", "");
    bench.run(&WRITE).ended(2).said("rows/a.txt was not written by longhand");
    assert_eq!((bench.get("rows/a.txt"), bench.get("rows/lace/two.A.txt")), (String::new(), String::new()));
}

/// One of the two results of a file is refused: nothing is noted of the file, but what the other one was before is
/// longhand's own no more.
#[test]
fn a_result_beside_a_refused_one_is_known_as_it_is_now() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let before = bench.get("rows/lace/two.A.txt");
    bench.put("rows/lace/two.B.txt", "my own words");
    bench.put("in/lace/two.csv", TWO.replace("First", "Another"));
    bench.run(&WRITE).ended(2).said("two.B.txt was not written by longhand");
    assert!(bench.get("rows/lace/two.A.txt").starts_with("Another"));
    bench.put("in/lace/two.csv", TWO.replace("First", "A third"));
    bench.run(&WRITE).ended(2);
    assert!(bench.get("rows/lace/two.A.txt").starts_with("A third"), "it was longhand's own");
    bench.put("rows/lace/two.A.txt", &before);
    bench.run(&WRITE).ended(2).said("two.A.txt was not written by longhand");
    assert_eq!(bench.get("rows/lace/two.A.txt"), before);
}

/// The record of one call says nothing of what another wrote to the same folder.
#[test]
fn two_calls_may_share_a_folder() {
    let bench = bench();
    bench.put("more/c.csv", SCARF);
    age(&bench, "more/c.csv", 1000);
    let more = ["write", "more", "--out", "rows"];
    bench.run(&WRITE).ended(1);
    bench.run(&more).ended(0);
    assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3);
    assert_eq!(unchanged(&bench.run(&more).ended(0)), 1);
    bench.put("in/a.csv", SCARF.replace("Scarf", "Shawl"));
    bench.run(&WRITE).ended(1);
    assert_eq!(unchanged(&bench.run(&more).ended(0)), 1);
}

#[test]
fn the_record_is_the_same_however_many_work_on_it() {
    let files: Vec<(String, &str)> = (0..30).map(|n| (format!("in/{n:02}.csv"), TWO)).collect();
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), *text)).collect();
    let bench = Bench::with(&files);
    let paths = |jobs: &str| {
        bench.run(&["write", "in", "--out", jobs, "--jobs", jobs]).ended(0);
        let record = bench.get(&format!("{jobs}/.longhand-run"));
        record.lines().filter_map(|line| Some(line.split_once("  ")?.1.to_owned())).collect::<Vec<_>>()
    };
    let one = paths("1");
    assert_eq!(one.len(), 60);
    assert_eq!(one, paths("8"));
}

#[cfg(unix)]
#[test]
fn two_runs_never_write_to_one_folder_at_once() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let record = File::options().append(true).open(bench.path().join("rows/.longhand-run")).unwrap();
    record.lock().unwrap();
    bench.run(&WRITE).ended(2).said("Another longhand is writing to rows.");
    drop(record);
    bench.run(&WRITE).ended(1);
}

#[cfg(unix)]
#[test]
fn a_record_that_is_a_link_is_not_followed() {
    let bench = bench();
    bench.put("rows/keep.txt", "");
    std::os::unix::fs::symlink("../elsewhere", bench.path().join("rows/.longhand-run")).unwrap();
    bench.run(&WRITE).ended(2).said(".longhand-run");
    assert!(!bench.path().join("elsewhere").exists());
}

/// "Each once": a file is the same however its folder is spelled.
#[test]
fn a_file_that_is_named_twice_is_written_once() {
    let bench = Bench::with(&[("charts/a.csv", SCARF), ("charts/deep/b.csv", SCARF)]);
    let whole = bench.path().join("charts").join("a.csv");
    let calls = [
        &["charts", "./charts/a.csv"][..],
        &["charts/a.csv", "charts/./deep/../a.csv", "charts"],
        &["./charts", "charts"],
        &[whole.to_str().unwrap(), "charts"],
    ];
    for (at, twice) in calls.iter().enumerate() {
        let out = format!("rows-{at}");
        bench.run(&[&["write", "--out", &out], *twice].concat()).ended(0).said("2 files read");
        let texts = bench.tree(&out).into_iter().filter(|file| file.ends_with(".txt"));
        assert_eq!(texts.collect::<Vec<_>>(), ["a.txt", "deep/b.txt"], "{twice:?}");
    }
}

/// A link to a file has a name of its own.
#[cfg(unix)]
#[test]
fn a_link_to_a_file_is_another_file() {
    let bench = Bench::with(&[("a.csv", SCARF)]);
    std::os::unix::fs::symlink("a.csv", bench.path().join("b.csv")).unwrap();
    bench.run(&["write", "a.csv", "b.csv", "--out", "rows"]).ended(0);
    assert_eq!(bench.tree("rows"), [".longhand-run", "a.txt", "b.txt"]);
}

#[cfg(unix)]
#[test]
fn folders_that_link_to_one_another_are_read_once() {
    use std::os::unix::fs::symlink;
    let bench = bench();
    for folder in 0..8 {
        bench.put(&format!("in/{folder}/chart.csv"), SCARF);
        for other in 0..8 {
            symlink(format!("../{other}"), bench.path().join(format!("in/{folder}/to-{other}"))).unwrap();
        }
    }
    let run = bench.run(&WRITE).ended(1);
    assert!(run.err.contains("11 files read"), "{}", run.err);
}

#[cfg(unix)]
#[test]
fn an_interrupt_keeps_what_is_done() {
    let files: Vec<(String, &str)> = (0..600).map(|n| (format!("in/{n:04}.csv"), SCARF)).collect();
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), *text)).collect();
    let bench = Bench::with(&files);
    let child = bench.start(&WRITE);
    while bench.tree("rows").len() < 20 {
        std::thread::sleep(Duration::from_millis(5));
    }
    let interrupt = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(interrupt.unwrap().success());
    let run = super::bench::ended(child);
    let run = run.ended(130).said("Stopped: ");
    let done: usize = run.err.split("Stopped: ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert_eq!(bench.tree("rows").len(), done + 1, "those that are done and the record");
    let run = bench.run(&WRITE).ended(0);
    assert!(run.err.contains("600 files read"), "{}", run.err);
    // Those done are young, and known by their contents.
    assert_eq!(unchanged(&run), done);
}

/// What was made of a file that was renamed or removed is told as long as it stands, and then forgotten.
#[test]
fn results_of_a_file_that_is_gone_are_told() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let inside = |path: &str| bench.path().join(path);
    fs::rename(inside("in/a.csv"), inside("in/scarf.csv")).unwrap();
    for _ in 0..2 {
        let run = bench.run(&WRITE).ended(1).said("The file is gone; a.txt, made of it, still stands.");
        assert_eq!(run.err.matches("input-gone").count(), 1, "{}", run.err);
        assert!(run.err.contains("in/a.csv"), "{}", run.err);
    }
    // Another folder has nothing to do with it.
    bench.put("other/b.csv", SCARF);
    let run = bench.run(&["write", "other", "--out", "rows"]).ended(0);
    assert!(!run.err.contains("input-gone"), "{}", run.err);
    // What another file gives now is not of the one that is gone.
    bench.put("in/a.tsv", SCARF.replace(',', "\t"));
    let run = bench.run(&WRITE).ended(1);
    assert!(!run.err.contains("input-gone"), "{}", run.err);
    fs::remove_file(inside("in/a.tsv")).unwrap();
    bench.run(&WRITE).ended(1).said("The file is gone; a.txt, made of it, still stands.");
    fs::remove_file(inside("rows/a.txt")).unwrap();
    let run = bench.run(&WRITE).ended(1);
    assert!(!run.err.contains("input-gone"), "{}", run.err);
}

/// A file in another format, or in a style that is not asked for now, is of the file's state until that changes.
#[test]
fn a_result_of_another_format_is_told_when_its_file_changes() {
    let bench = Bench::with(&[("in/s.csv", SCARF)]);
    let in_style = |styles: &[&str]| {
        let styles = styles.iter().flat_map(|style| ["--style", style]);
        bench.run(&WRITE.into_iter().chain(styles).collect::<Vec<_>>())
    };
    in_style(&["uk", "aloud"]).ended(0);
    for _ in 0..2 {
        let run = in_style(&["uk"]).ended(0);
        assert!(!run.err.contains("result-out-of-date"), "{}", run.err);
    }
    bench.put("in/s.csv", SCARF.replace("p,p", "k,k"));
    for _ in 0..2 {
        in_style(&["uk"]).ended(0).said("s.uk.txt, s.aloud.txt are of an earlier state of the file");
    }
}

/// The same paths in another folder are other files, and a file that another gives now is not of the one that is gone.
#[test]
fn what_others_made_is_not_of_a_file_that_is_gone() {
    let bench = Bench::with(&[
        ("x/in/one.csv", SCARF),
        ("y/in/two.csv", SCARF),
        ("z/a.csv", SCARF),
        ("z/b.csv", SCARF),
    ]);
    let from = |folder: &str, call: &[&str]| {
        let run = bench.run_in(folder, call).ended(0);
        assert!(!run.err.contains("input-gone"), "{}", run.err);
    };
    for folder in ["x", "y", "x"] {
        from(folder, &["write", "in", "--out", "../rows"]);
    }
    bench.run(&["write", "z", "--out", "zr"]).ended(0);
    bench.put("z/a.tsv", SCARF.replace(',', "\t").replace("p\tp", "k\tk"));
    fs::remove_file(bench.path().join("z/a.csv")).unwrap();
    bench.run(&["write", "z/a.tsv", "--out", "zr"]).ended(0);
    from(".", &["write", "z", "--out", "zr"]);
    fs::remove_file(bench.path().join("z/b.csv")).unwrap();
    bench.run(&["write", "./z/", "--out", "zr"]).ended(0).said("The file is gone; b.txt, made of it");
}

/// What was good once is kept, and told as long as it is not what the file gives now.
#[test]
fn a_result_of_an_earlier_state_is_told() {
    let bench = bench();
    bench.run(&WRITE).ended(1);
    let told = |run: &super::bench::Run| run.err.matches("result-out-of-date").count();
    // Another format is no other state.
    let run = bench.run(&[&WRITE[..], &["--to", "markdown"]].concat()).ended(1);
    assert_eq!((told(&run), bench.path().join("rows/a.txt").exists()), (0, true));
    bench.run(&WRITE).ended(1);
    bench.put("in/a.csv", WRONG);
    let good = bench.get("rows/a.txt");
    for _ in 0..2 {
        let run = bench.run(&WRITE).ended(1).said("a.md, a.txt are of an earlier state of the file");
        assert!(!run.err.contains("two.A.txt is"), "{}", run.err);
        assert_eq!(bench.get("rows/a.txt"), good);
    }
    for name in ["a.md", "a.txt"] {
        fs::remove_file(bench.path().join("rows").join(name)).unwrap();
    }
    assert_eq!(told(&bench.run(&WRITE).ended(1)), 0);
    assert_eq!(unchanged(&bench.run(&WRITE).ended(1)), 3);
    // One of two charts is left: its rows get another name.
    bench.put("in/lace/two.csv", SCARF);
    bench.run(&WRITE).ended(1).said("lace/two.A.txt, lace/two.B.txt are of an earlier state");
    bench.put("in/lace/two.csv", TWO);
    assert_eq!(told(&bench.run(&WRITE).ended(1)), 1, "rows/lace/two.txt");
}
