//! Files that only their owner may read, in the relay's data folder.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use crate::Error;

pub(crate) fn data_error(path: &Path) -> impl FnOnce(io::Error) -> Error {
    let path = path.to_owned();
    move |source| Error::Data { path, source }
}

/// Held while files are read and made, so that two relays which start together on
/// one data folder do not make two authorities. Freed when dropped.
pub(crate) fn lock(folder: &Path) -> Result<File, Error> {
    let path = folder.join("lock");
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path);
    file.and_then(|file| file.lock().map(|()| file))
        .map_err(data_error(&path))
}

pub(crate) fn create_private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.recursive(true).create(folder)
}

/// Writes a file that only its owner reads, whole or not at all.
pub(crate) fn write_private(path: &Path, content: &[u8]) -> io::Result<()> {
    let unfinished = path.with_extension("unfinished");
    match fs::remove_file(&unfinished) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&unfinished)?;
    file.write_all(content)?;
    file.sync_all()?;
    fs::rename(&unfinished, path)
}

/// Takes the file from everyone but its owner, should a copy or a restore have
/// opened it up.
#[cfg(unix)]
pub(crate) fn tighten(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    if fs::metadata(path)?.permissions().mode() & 0o077 != 0 {
        tracing::warn!(file = %path.display(), "was open to others, and is not any more");
        fs::set_permissions(path, fs::Permissions::from_mode(0o600))?;
    }
    Ok(())
}

#[cfg(not(unix))]
pub(crate) fn tighten(_: &Path) -> io::Result<()> {
    Ok(())
}
