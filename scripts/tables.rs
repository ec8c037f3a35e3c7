//! Cargo runs this before it builds longhand: the tables that come with it are TOML, which people edit, and become JSON,
//! which a program that has just begun reads in a fraction of the time and the memory.
// It speaks to cargo by printing.
#![allow(clippy::disallowed_methods, clippy::print_stdout)]

use std::error::Error;
use std::ffi::OsStr;
use std::path::Path;
use std::{env, fs};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=src");
    let made = env::var_os("OUT_DIR").ok_or("cargo tells no folder to write to")?;
    convert(Path::new("src"), Path::new(&made))
}

/// Writes every table below a folder as JSON, at the same place below another.
fn convert(folder: &Path, made: &Path) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let Some(name) = path.file_name() else { continue };
        if path.is_dir() {
            convert(&path, &made.join(name))?;
        } else if path.extension() == Some(OsStr::new("toml")) {
            let table: toml::Table =
                fs::read_to_string(&path)?.parse().map_err(|error| format!("{}: {error}", path.display()))?;
            fs::create_dir_all(made)?;
            fs::write(made.join(name).with_extension("json"), serde_json::to_vec(&table)?)?;
        }
    }
    Ok(())
}
