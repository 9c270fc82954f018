//! What lies on the phone's disk, read and written by scripts beside the app.

use crate::phone::Phone;
use anyhow::{Context, Result};
use serde_json::{Value, json};

/// Name of the app's database.
const DATABASE: &str = "stridebook";

/// Opens the database as it is: never makes one, never changes its version.
const OPEN: &str = "
    const opened = async () => {
        const known = await indexedDB.databases();
        if (!known.some(database => database.name === 'stridebook'))
            throw new Error('there is no notebook on this phone');
        return await answered(indexedDB.open('stridebook'));
    };
    const answered = request => new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
";

impl Phone {
    /// Every record in a store, as stored, in order of ids.
    ///
    /// # Errors
    /// When there is no such store.
    pub async fn stored(&self, store: &str) -> Result<Vec<Value>> {
        let body = format!(
            "{OPEN} const database = await opened();
             const all = await answered(
                 database.transaction(args[0]).objectStore(args[0]).getAll());
             database.close();
             return all;"
        );
        let all = self.script_async(&body, vec![json!(store)]).await?;
        Ok(serde_json::from_value(all)?)
    }

    /// The version of the database on disk; none when there is no database.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn database_version(&self) -> Result<Option<u64>> {
        let body = "const known = await indexedDB.databases();
             return known.find(database => database.name === args[0])?.version ?? null;";
        let version = self.script_async(body, vec![json!(DATABASE)]).await?;
        Ok(version.as_u64())
    }

    /// Makes the app's database at `version`. Each store is named with its key
    /// path, its indexes (named by their path) and its records.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn make_database(&self, version: u32, stores: &Value) -> Result<()> {
        let body = "
            const [name, version, stores] = args;
            const request = indexedDB.open(name, version);
            request.onupgradeneeded = () => {
                for (const {name, keyPath, indexes, records} of stores) {
                    const store = request.result.createObjectStore(name, {keyPath});
                    for (const path of indexes) store.createIndex(path, path);
                    for (const record of records) store.add(record);
                }
            };
            await new Promise((resolve, reject) => {
                request.onsuccess = resolve;
                request.onerror = () => reject(request.error);
            });
            request.result.close();";
        let arguments = vec![json!(DATABASE), json!(version), stores.clone()];
        self.script_async(body, arguments).await?;
        Ok(())
    }

    /// Adds hitters with a notebook each to the database that the app has made;
    /// their ids, in order.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn add_hitters(&self, how_many: usize) -> Result<Vec<String>> {
        let body = format!("{OPEN} {SAMPLES} return await addHitters(args[0]);");
        let ids = self.script_async(&body, vec![json!(how_many)]).await?;
        Ok(serde_json::from_value(ids)?)
    }

    /// Adds reps `from..to` of a row of reps dealt out to `hitters` set by set,
    /// twenty a set, the last of them made just now.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn add_reps(&self, hitters: &[String], from: usize, to: usize) -> Result<()> {
        /// In one transaction; a page answers a script within 30 s.
        const BATCH: usize = 20_000;
        let body = format!("{OPEN} {SAMPLES} return await addReps(...args);");
        for start in (from..to).step_by(BATCH) {
            let end = (start + BATCH).min(to);
            let arguments = vec![json!(hitters), json!(start), json!(end), json!(to)];
            let added = self.script_async(&body, arguments).await?;
            added.as_u64().context("no number of reps")?;
            eprintln!("    {end} of {to} reps are on the phone");
        }
        Ok(())
    }
}

impl Phone {
    /// Adds so many looks to each hitter, a day apart, the latest twelve with every
    /// item; how many answers there are.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn add_looks(&self, hitters: &[String], looks: usize) -> Result<u64> {
        /// Hitters in one transaction; a page answers a script within 30 s.
        const BATCH: usize = 25;
        let body = format!("{OPEN} {SAMPLES} {LOOKS} return await addLooks(...args);");
        let mut answers = 0;
        for (batch, some) in hitters.chunks(BATCH).enumerate() {
            let arguments = vec![json!(some), json!(batch * BATCH), json!(looks)];
            let added = self.script_async(&body, arguments).await?;
            answers += added.as_u64().context("no number of answers")?;
        }
        Ok(answers)
    }

    /// Adds one look by this phone with these items and answers, so many minutes old,
    /// with the choices of a look ("skill", "observer").
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn add_look(
        &self,
        hitter: &str,
        answers: &[(&str, &str)],
        minutes_ago: u32,
        choices: Value,
    ) -> Result<()> {
        let body = format!("{OPEN} {SAMPLES} {LOOKS} await addLook(...args);");
        let arguments = vec![json!(hitter), json!(answers), json!(minutes_ago), choices];
        self.script_async(&body, arguments).await?;
        Ok(())
    }

    /// Adds records as they are stored, but for their heads; where a field has the
    /// stamp "now" it gets one.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn add_records(&self, store: &str, records: &[Value]) -> Result<()> {
        let body = format!("{OPEN} {SAMPLES} {LOOKS} await addRecords(...args);");
        self.script_async(&body, vec![json!(store), json!(records)])
            .await?;
        Ok(())
    }
}

/// Looks, beside [`SAMPLES`].
const LOOKS: &str = include_str!("looks.js");

/// Makes sample records in the stored form that `app/notebook/tests/format.rs`
/// pins.
const SAMPLES: &str = include_str!("samples.js");
