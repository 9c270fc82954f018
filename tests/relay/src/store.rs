//! Where a relay under test keeps what it gets: a fresh database of either kind.

use std::path::{Path, PathBuf};
use std::process::Command;

use tempfile::TempDir;

use crate::postgres;

/// A database of its own, with a folder for the relay's files beside it.
pub struct Store {
    folder: TempDir,
    url: Option<String>,
}

impl Store {
    /// SQLite in the data folder, which is what a relay takes by default.
    ///
    /// # Panics
    /// When there is no room for it.
    #[must_use]
    pub fn sqlite() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
            url: None,
        }
    }

    /// A database of a real PostgreSQL that runs for this test.
    ///
    /// # Panics
    /// When it cannot be started.
    #[must_use]
    pub fn postgres() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
            url: Some(postgres::new_database()),
        }
    }

    /// A folder for what belongs to this test.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The relay's data folder.
    #[must_use]
    pub fn data(&self) -> PathBuf {
        self.folder().join("data")
    }

    /// The URL of the database, if it is PostgreSQL.
    #[must_use]
    pub fn url(&self) -> Option<&str> {
        self.url.as_deref()
    }

    /// Whether it is SQLite.
    #[must_use]
    pub const fn is_sqlite(&self) -> bool {
        self.url.is_none()
    }

    /// Files that the database keeps its rows in.
    ///
    /// # Panics
    /// When they cannot be listed.
    #[must_use]
    pub fn files(&self) -> Vec<PathBuf> {
        let folder = match self.url {
            None => self.data(),
            Some(_) => postgres::data_folder(),
        };
        let mut files = Vec::new();
        let mut folders = vec![folder];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(&folder).expect("a folder").flatten() {
                // Files of a running server come and go.
                let Ok(kind) = entry.file_type() else {
                    continue;
                };
                if kind.is_dir() {
                    folders.push(entry.path());
                } else if kind.is_file() {
                    files.push(entry.path());
                }
            }
        }
        files
    }

    /// Tells a relay about this store.
    pub fn name_to(&self, relay: &mut Command) {
        relay.arg("--data").arg(self.data());
        match &self.url {
            Some(url) => relay.env("STRIDEBOOK_DATABASE_URL", url),
            None => relay.env_remove("STRIDEBOOK_DATABASE_URL"),
        };
    }
}

/// Makes each test of the list two: one on SQLite and one on PostgreSQL.
#[macro_export]
macro_rules! on_both_databases {
    ($($test:ident)*) => {
        mod on_sqlite {
            $(#[test]
            fn $test() {
                super::$test(&$crate::Store::sqlite());
            })*
        }
        mod on_postgres {
            $(#[test]
            fn $test() {
                super::$test(&$crate::Store::postgres());
            })*
        }
    };
}
