//! Links from a report to the files it is about: relative, so that both can be moved together.

use std::fmt::Write as _;
use std::path::{Component, Path, PathBuf, absolute};

/// The address of a file, seen from a folder: `../charts/a%20b.csv`. `None` where no path leads there.
pub fn link(folder: &Path, file: &Path) -> Option<String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let (folder, file) = (plain(&absolute(folder).ok()?), plain(&absolute(file).ok()?));
    let shared = folder.components().zip(file.components()).take_while(|(one, two)| one == two).count();
    // Another drive of the machine, where there are drives.
    if shared == 0 {
        return None;
    }
    let up = folder.components().skip(shared).map(|_| "..".to_owned());
    let down = file.components().skip(shared).map(|part| encoded(Path::new(part.as_os_str())));
    let parts: Vec<String> = up.chain(down).collect();
    Some(if parts.is_empty() { "./".to_owned() } else { parts.join("/") })
}

/// The path without `.` and `..`, as a browser understands it too.
fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}

/// A part of a path, percent-encoded byte by byte but for the characters that mean nothing in an address (RFC 3986,
/// section 2.3). A name can so never be taken for a scheme, a query or a folder.
fn encoded(part: &Path) -> String {
    #[cfg(unix)]
    let bytes = std::os::unix::ffi::OsStrExt::as_bytes(part.as_os_str());
    #[cfg(not(unix))]
    let lossy = part.to_string_lossy();
    #[cfg(not(unix))]
    let bytes = lossy.as_bytes();
    let mut out = String::new();
    for &byte in bytes {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by hand from RFC 3986.
    #[test]
    fn links_are_relative_and_encoded() {
        for (folder, file, address) in [
            ("", "scarf.csv", "scarf.csv"),
            (".", "./in/a b.csv", "in/a%20b.csv"),
            ("out", "in/scarf.csv", "../in/scarf.csv"),
            ("out/deep", "out/x.csv", "../x.csv"),
            ("in", "in/scarf.csv", "scarf.csv"),
            ("in/../out", "in/scarf.csv", "../in/scarf.csv"),
            ("", "javascript:alert(1)", "javascript%3Aalert%281%29"),
            ("", "100% #1?.csv", "100%25%20%231%3F.csv"),
            ("", "mütze.csv", "m%C3%BCtze.csv"),
            ("/a/b", "/a/c/d.csv", "../c/d.csv"),
            ("in", "in", "./"),
        ] {
            assert_eq!(link(Path::new(folder), Path::new(file)).as_deref(), Some(address), "{folder} {file}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn bytes_that_are_no_text_are_encoded_too() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let file = Path::new(OsStr::from_bytes(b"m\xfctze.csv"));
        assert_eq!(link(Path::new(""), file).as_deref(), Some("m%FCtze.csv"));
    }
}
