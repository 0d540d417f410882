//! The output of a command: a file, written whole or not at all, or standard output for `-`.

use std::fs::{self, File};
use std::io::{self, BufWriter, ErrorKind, Stdout, Write, stdout};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::CommandError;
use super::error::Cause;

/// The output options of the commands that write a file.
#[derive(Debug, clap::Args)]
pub(crate) struct OutputArgs {
    /// The file to write, or - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Overwrite an existing file
    #[arg(long)]
    pub force: bool,
}

/// Output that is being written. A file appears under its name only with [`OutputFile::finish`], complete. Until then, and
/// if `finish` is never called, a file that was there before stays.
#[derive(Debug)]
pub(crate) struct OutputFile {
    to: OutputTarget,
}

#[derive(Debug)]
enum OutputTarget {
    Stdout(BufWriter<Stdout>),
    /// A pipe or a device, which cannot be written to a temporary file and moved.
    Direct(BufWriter<File>, PathBuf),
    Beside {
        file: BufWriter<NamedTempFile>,
        path: PathBuf,
        force: bool,
    },
}

impl OutputFile {
    /// Opens the output, before any work is done for it. `-` is standard output.
    ///
    /// # Errors
    /// When the output cannot be written, or the file exists and `force` is not set.
    pub(crate) fn open(path: &Path, force: bool) -> Result<OutputFile, CommandError> {
        if path.as_os_str() == "-" {
            return Ok(OutputFile { to: OutputTarget::Stdout(BufWriter::new(stdout())) });
        }
        // A link is followed: its target is written, and the link stays.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let to = match fs::metadata(&path) {
            Ok(there) if there.is_dir() => Err(cannot(&path, "it is a folder")),
            Ok(there) if !there.is_file() => {
                let file = File::options().write(true).open(&path).map_err(|error| cannot(&path, error))?;
                Ok(OutputTarget::Direct(BufWriter::new(file), path))
            }
            Ok(_) if !force => Err(already_exists(&path)),
            Ok(there) if there.permissions().readonly() => Err(cannot(&path, "it is read-only")),
            Ok(_) => temporary_beside(path, force),
            Err(error) if error.kind() == ErrorKind::NotFound => temporary_beside(path, force),
            Err(error) => Err(cannot(&path, error)),
        };
        to.map(|to| OutputFile { to })
    }

    /// Makes the file appear under its name.
    ///
    /// # Errors
    /// When it cannot be written; then nothing has changed.
    pub(crate) fn finish(mut self) -> Result<(), CommandError> {
        self.flush().map_err(|error| self.fault(error))?;
        let OutputTarget::Beside { file, path, force } = self.to else { return Ok(()) };
        let file = file.into_inner().map_err(|error| cannot(&path, error.into_error()))?;
        file.as_file().sync_all().map_err(|error| cannot(&path, error))?;
        let moved = if force { file.persist(&path) } else { file.persist_noclobber(&path) };
        match moved {
            Ok(_) => Ok(()),
            Err(error) if error.error.kind() == ErrorKind::AlreadyExists => Err(already_exists(&path)),
            Err(error) => Err(cannot(&path, error.error)),
        }
    }

    /// Writes all of it at once.
    ///
    /// # Errors
    /// When it cannot be written; then nothing has changed.
    pub(crate) fn write_whole(mut self, bytes: &[u8]) -> Result<(), CommandError> {
        self.write_all(bytes).map_err(|error| self.fault(error))?;
        self.finish()
    }

    /// A write error, with the name of the file. An error of standard output is not a failure if its reader has gone.
    pub(crate) fn fault(&self, error: io::Error) -> CommandError {
        match &self.to {
            OutputTarget::Stdout(_) => error.into(),
            OutputTarget::Direct(_, path) | OutputTarget::Beside { path, .. } => cannot(path, error),
        }
    }
}

impl Write for OutputFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.to {
            OutputTarget::Stdout(out) => out.write(bytes),
            OutputTarget::Direct(file, _) => file.write(bytes),
            OutputTarget::Beside { file, .. } => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match &mut self.to {
            OutputTarget::Stdout(out) => out.flush(),
            OutputTarget::Direct(file, _) => file.flush(),
            OutputTarget::Beside { file, .. } => file.flush(),
        }
    }
}

fn temporary_beside(path: PathBuf, force: bool) -> Result<OutputTarget, CommandError> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".forecall-");
    fs::metadata(folder).map_err(|error| cannot(&path, error))?;
    // The full error names the temporary file, which means nothing to anyone.
    let file =
        readable(&mut builder).tempfile_in(folder).map_err(|error| cannot(&path, io::Error::from(error.kind())))?;
    Ok(OutputTarget::Beside { file: BufWriter::new(file), path, force })
}

/// Temporary files can be read only by their owner; the finished file is like any other file.
fn readable<'a, 'b>(builder: &'a mut tempfile::Builder<'b, 'b>) -> &'a mut tempfile::Builder<'b, 'b> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o644));
    }
    builder
}

fn cannot(path: &Path, why: impl Into<Cause>) -> CommandError {
    CommandError::cannot(format_args!("write {}", path.display()), why)
}

fn already_exists(path: &Path) -> CommandError {
    CommandError::refused(format!(
        "{} already exists: choose another name, or use --force to overwrite it",
        path.display()
    ))
}
