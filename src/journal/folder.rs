//! The folder of journals: one file for each class, readable by its owner only, locked while the class is led.

use std::fs::{self, DirBuilder, File, OpenOptions, TryLockError};
use std::io::{self, BufRead, BufReader, ErrorKind, Read};
use std::path::{Path, PathBuf};

use jiff::ZonedDateTime;

use super::read::{FILE, JournalContents, JournalFault, read};
use super::record::JournalHeader;
use super::store::LineFile;

/// The ending of a journal's name.
const ENDING: &str = ".jsonl";
/// The most classes that may start in one minute.
const IN_A_MINUTE: u32 = 100;
/// The most journals that are listed: the latest ones.
const MOST: usize = 2_000;

/// A folder of journals.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalFolder(PathBuf);

/// A journal in the folder, by its id: the time at which the class started, such as `2026-01-10-1810`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ListedJournal {
    pub id: String,
    path: PathBuf,
}

/// A locked journal: nobody else can write to it while this value exists.
#[derive(Debug)]
pub struct LockedJournal {
    pub id: String,
    pub kept: JournalContents,
    file: File,
}

/// Why a journal cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum JournalOpenError {
    #[error("the class is still being led")]
    Led,
    #[error("{0}")]
    Fault(#[from] JournalFault),
    #[error("it cannot be read: {0}")]
    Io(#[from] io::Error),
}

impl JournalFolder {
    /// The folder at a path. It is created when it is first needed.
    pub fn new(path: PathBuf) -> JournalFolder {
        JournalFolder(path)
    }

    /// Creates the folder and checks that a file can be written in it.
    ///
    /// # Errors
    /// When either fails.
    pub fn prepare(&self) -> io::Result<()> {
        self.make()?;
        let trial = tempfile::tempfile_in(&self.0)?;
        trial.set_len(1)
    }

    fn make(&self) -> io::Result<()> {
        let mut builder = DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::{DirBuilderExt, PermissionsExt};
            builder.mode(0o700);
            builder.create(&self.0)?;
            // The folder may have existed before, or the umask may be different: others get no access in any case.
            if fs::metadata(&self.0)?.permissions().mode() & 0o077 != 0 {
                fs::set_permissions(&self.0, fs::Permissions::from_mode(0o700))?;
            }
            Ok(())
        }
        #[cfg(not(unix))]
        builder.create(&self.0)
    }

    /// Creates the file of a class that starts now, and locks it. Returns its id too.
    ///
    /// # Errors
    /// When the file cannot be created.
    pub fn create(&self, wall: &ZonedDateTime) -> io::Result<(String, LineFile<File>)> {
        self.make()?;
        let minute = wall.strftime("%Y-%m-%d-%H%M").to_string();
        let mut options = OpenOptions::new();
        options.append(true).read(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        for number in 1..=IN_A_MINUTE {
            let id = if number == 1 { minute.clone() } else { format!("{minute}-{number}") };
            match options.open(self.file(&id)) {
                Ok(file) => {
                    // If the file system has no locks, the class is led without one.
                    let _ = file.try_lock();
                    // The name of the file survives a power cut only after the folder is synced. On a busy disk that
                    // takes long, and the first lines must not wait: a crash of the program alone does not lose them.
                    #[cfg(unix)]
                    if let Ok(folder) = File::open(&self.0) {
                        std::thread::spawn(move || folder.sync_all());
                    }
                    return Ok((id, LineFile::after_bytes(file, 0)));
                }
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    }

    fn file(&self, id: &str) -> PathBuf {
        self.0.join(format!("{id}{ENDING}"))
    }

    /// The journals, oldest first, at most the latest 2,000. Empty if there is no folder.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn entries(&self) -> io::Result<Vec<ListedJournal>> {
        let files = match fs::read_dir(&self.0) {
            Ok(files) => files,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(error),
        };
        let mut ids: Vec<(String, u32)> = Vec::new();
        for file in files {
            let name = file?.file_name();
            let id = name.to_str().and_then(|name| name.strip_suffix(ENDING));
            ids.extend(id.and_then(|id| Some((id.to_owned(), order(id)?))));
        }
        // `-2` comes before `-10`.
        ids.sort_by(|a, b| (minute(&a.0), a.1).cmp(&(minute(&b.0), b.1)));
        let first = ids.len().saturating_sub(MOST);
        Ok(ids.drain(..).skip(first).map(|(id, _)| ListedJournal { path: self.file(&id), id }).collect())
    }

    /// The path of the folder.
    pub fn path(&self) -> &Path {
        &self.0
    }
}

/// The length of `2026-01-10-1810`, in bytes.
const MINUTE: usize = 15;

fn minute(id: &str) -> &str {
    id.get(..MINUTE).unwrap_or(id)
}

/// The number of a class within its minute, from 1. None if the text is not an id.
fn order(id: &str) -> Option<u32> {
    let (minute, rest) = id.split_at_checked(MINUTE)?;
    let shape = minute.bytes().enumerate().all(|(at, byte)| match at {
        4 | 7 | 10 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    let number = if rest.is_empty() { Some(1) } else { rest.strip_prefix('-')?.parse().ok() };
    number.filter(|_| shape)
}

impl ListedJournal {
    /// The day on which the class started, as `2026-01-10`.
    pub fn day(&self) -> &str {
        self.id.get(..10).unwrap_or(&self.id)
    }

    /// Reads the journal as it is now, even while the class is led.
    ///
    /// # Errors
    /// When it cannot be read, or is not a journal.
    pub fn read(&self) -> Result<JournalContents, JournalOpenError> {
        Ok(read(&bytes(&mut File::open(&self.path)?)?)?)
    }

    /// Reads only the first line.
    ///
    /// # Errors
    /// When it cannot be read, or is not a journal.
    pub fn header(&self) -> Result<JournalHeader, JournalOpenError> {
        let mut line = Vec::new();
        BufReader::new(File::open(&self.path)?.take(FILE)).read_until(b'\n', &mut line)?;
        Ok(read(&line)?.header)
    }

    /// Whether the class is being led right now.
    pub fn is_led(&self) -> bool {
        File::open(&self.path).is_ok_and(|file| matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
    }

    /// Reads the journal and locks it, so that nobody else can write to it.
    ///
    /// # Errors
    /// When the class is still being led, or the journal cannot be read.
    pub fn lock(&self) -> Result<LockedJournal, JournalOpenError> {
        let mut file = OpenOptions::new().read(true).append(true).open(&self.path)?;
        if matches!(file.try_lock(), Err(TryLockError::WouldBlock)) {
            return Err(JournalOpenError::Led);
        }
        let kept = read(&bytes(&mut file)?)?;
        Ok(LockedJournal { id: self.id.clone(), kept, file })
    }
}

impl LockedJournal {
    /// The file, ready to be appended to. An incomplete last line is cut off.
    ///
    /// # Errors
    /// When the file cannot be cut.
    pub fn append(self) -> io::Result<LineFile<File>> {
        if self.kept.torn {
            self.file.set_len(self.kept.whole)?;
            self.file.sync_data()?;
        }
        LineFile::of(self.file)
    }
}

/// The bytes of a file, at most one more than the limit, so that a file over the limit is noticed.
fn bytes(file: &mut File) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.take(FILE + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
