//! Exports on the desk: the sheet as a page, the kit and the log as tables, and the file anew.

use crate::sheet;
use peelcast::job::bundle::{Bundle, Traces, pack, unpack};
use peelcast::job::table;
use peelcast::quantity::show::System;
use std::io::Write;

/// What is asked of an export.
#[derive(Clone, Copy)]
pub enum Wanted {
    /// The sheet of each piece, in these units, as one page of HTML.
    Sheet(System),
    /// What is to be packed, as CSV.
    Kit,
    /// What happened, as CSV.
    Log,
    /// The file anew, in today's shape.
    Export(Traces),
}

/// Reads an export and writes what is wanted of it to the standard output. What can't be had of
/// it is told on the standard error.
pub fn write(wanted: Wanted, file: &str) -> Result<(), String> {
    let bytes = std::fs::read(file).map_err(|e| format!("The file {file} can't be read: {e}."))?;
    let found = unpack(&bytes).map_err(|why| why.to_string())?;
    for note in &found.notes {
        eprintln!("{note}");
    }
    let out = match wanted {
        Wanted::Sheet(system) => sheet::page(&found, system).into_bytes(),
        Wanted::Kit => tables(&found, table::kit_csv)?,
        Wanted::Log => tables(&found, table::log_csv)?,
        Wanted::Export(traces) => {
            let packed = pack(&found.jobs, &found.photos, traces, found.exported);
            let packed = packed.map_err(|why| why.to_string())?;
            for note in &packed.notes {
                eprintln!("{note}");
            }
            packed.bytes
        }
    };
    let written = std::io::stdout().write_all(&out);
    written.map_err(|e| format!("The answer can't be written: {e}."))
}

/// The table of the one job that is in the file: those of several jobs are several tables.
fn tables(found: &Bundle, of: fn(&peelcast::job::Job) -> String) -> Result<Vec<u8>, String> {
    match found.jobs.as_slice() {
        [job] => Ok(of(job).into_bytes()),
        jobs => Err(format!(
            "This export holds {} jobs, and a table is of one. Export the job by itself.",
            jobs.len()
        )),
    }
}
