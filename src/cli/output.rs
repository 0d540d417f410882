//! What a command writes: a file whole or not at all, or standard output for `-`.

use std::fs::{self, File};
use std::io::{self, BufWriter, ErrorKind, Stdout, Write, stdout};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::Stop;

/// Where to, for the commands that write a file.
#[derive(Debug, clap::Args)]
pub struct OutputArgs {
    /// The file to write, or - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
}

/// Something being written. A file appears under its name only with [`Output::finish`], all of it at once; until then,
/// and when that never comes, what was there before stays.
#[derive(Debug)]
pub struct Output {
    to: To,
}

#[derive(Debug)]
enum To {
    Stdout(BufWriter<Stdout>),
    /// What cannot be written beside and moved: a pipe, a device.
    Direct(BufWriter<File>, PathBuf),
    Beside {
        file: BufWriter<NamedTempFile>,
        path: PathBuf,
        force: bool,
    },
}

impl Output {
    /// Opens what is written to, before any work is done for it. `-` is standard output.
    ///
    /// # Errors
    /// When it could not be written, or is there and `force` is not set.
    pub fn open(path: &Path, force: bool) -> Result<Output, Stop> {
        if path.as_os_str() == "-" {
            return Ok(Output { to: To::Stdout(BufWriter::new(stdout())) });
        }
        // A link is followed, so that what it leads to is written and the link stays.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let to = match fs::metadata(&path) {
            Ok(there) if there.is_dir() => Err(cannot(&path, "it is a folder")),
            Ok(there) if !there.is_file() => {
                let file = File::options().write(true).open(&path).map_err(|error| cannot(&path, error))?;
                Ok(To::Direct(BufWriter::new(file), path))
            }
            Ok(_) if !force => Err(is_there(&path)),
            Ok(there) if there.permissions().readonly() => Err(cannot(&path, "it may not be written to")),
            Ok(_) => beside(path, force),
            Err(error) if error.kind() == ErrorKind::NotFound => beside(path, force),
            Err(error) => Err(cannot(&path, error)),
        };
        to.map(|to| Output { to })
    }

    /// Makes the file appear under its name.
    ///
    /// # Errors
    /// When it cannot be written; then nothing has changed.
    pub fn finish(mut self) -> Result<(), Stop> {
        self.flush().map_err(|error| self.fault(error))?;
        let To::Beside { file, path, force } = self.to else { return Ok(()) };
        let file = file.into_inner().map_err(|error| cannot(&path, error.into_error()))?;
        file.as_file().sync_all().map_err(|error| cannot(&path, error))?;
        let moved = if force { file.persist(&path) } else { file.persist_noclobber(&path) };
        match moved {
            Ok(_) => Ok(()),
            Err(error) if error.error.kind() == ErrorKind::AlreadyExists => Err(is_there(&path)),
            Err(error) => Err(cannot(&path, error.error)),
        }
    }

    /// Writes all of it at once.
    ///
    /// # Errors
    /// When it cannot be written; then nothing has changed.
    pub fn whole(mut self, bytes: &[u8]) -> Result<(), Stop> {
        self.write_all(bytes).map_err(|error| self.fault(error))?;
        self.finish()
    }

    /// An error of writing, with the file's name. That the reader of standard output has gone is none.
    pub fn fault(&self, error: io::Error) -> Stop {
        match &self.to {
            To::Stdout(_) => Stop::Output(error),
            To::Direct(_, path) | To::Beside { path, .. } => cannot(path, error),
        }
    }
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.to {
            To::Stdout(out) => out.write(bytes),
            To::Direct(file, _) => file.write(bytes),
            To::Beside { file, .. } => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match &mut self.to {
            To::Stdout(out) => out.flush(),
            To::Direct(file, _) => file.flush(),
            To::Beside { file, .. } => file.flush(),
        }
    }
}

fn beside(path: PathBuf, force: bool) -> Result<To, Stop> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".forecall-");
    fs::metadata(folder).map_err(|error| cannot(&path, error))?;
    // The error names the temporary file, which means nothing to anyone.
    let file = readable(&mut builder).tempfile_in(folder).map_err(|error| cannot(&path, error.kind()))?;
    Ok(To::Beside { file: BufWriter::new(file), path, force })
}

/// Temporary files are for their owner alone; what is kept is a file like any other.
fn readable<'a, 'b>(builder: &'a mut tempfile::Builder<'b, 'b>) -> &'a mut tempfile::Builder<'b, 'b> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o644));
    }
    builder
}

fn cannot(path: &Path, why: impl std::fmt::Display) -> Stop {
    Stop::Cannot(format!("cannot write {}: {why}", path.display()))
}

fn is_there(path: &Path) -> Stop {
    Stop::Cannot(format!("{} is there already: choose another name, or --force to write over it", path.display()))
}
