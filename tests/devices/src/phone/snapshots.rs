//! Snapshots on one phone: taking the relay's, making one, dropping what lies
//! behind one.

use super::{Link, Phone, Step};
use crate::chance::Chance;
use crate::relay::Relay;
use crate::store::Crash;
use notebook::Change;
use notebook::sync::Error;
use notebook::sync::snapshot::{self, Manifest};

impl Phone {
    pub(super) fn take_snapshot(
        &mut self,
        link: &mut Link,
        chance: &mut Chance,
    ) -> Result<Step, Crash> {
        let Some(snapshot) = link.send(chance, |relay| relay.snapshot()) else {
            return Ok(Step::Silence);
        };
        let Some(snapshot) = snapshot else {
            return Ok(Step::Refused(Error::Cut));
        };
        let open = || {
            let manifest = Manifest::read(&snapshot.manifest)?;
            manifest.check(&self.membership)?;
            let rows = self.store.rows();
            manifest.fits(self.me(), &rows.vector, |author, last| {
                rows.hash_at(author, last)
            })?;
            let mut changes = Vec::new();
            for (index, part) in (0..).zip(&snapshot.parts) {
                changes.extend(manifest.open_part(index, part, &rows.keys)?);
            }
            Ok((manifest.vector, changes))
        };
        let (vector, changes) = match open() {
            Ok(opened) => opened,
            Err(error) => return Ok(Step::Refused(error)),
        };
        self.store.transact(chance, |rows| {
            rows.merge(&changes);
            for (author, point) in vector.iter() {
                if rows.vector.last(author) < point.last {
                    rows.skip_to(author, point);
                }
            }
        })?;
        self.there.applied_snapshot();
        if let Some(last) = self.store.rows().last {
            self.clock.see(last);
        }
        Ok(Step::Did)
    }

    /// Makes a snapshot of all that is stored and brings it to the relay.
    pub fn make_snapshot(&mut self, link: &mut Link, chance: &mut Chance) -> Step {
        let rows = self.store.rows();
        let records = rows.records.iter().map(|((store, _), record)| Change {
            store: store.clone(),
            record: record.clone(),
        });
        let made = snapshot::make(
            &self.secret,
            &self.membership,
            &rows.keys,
            &rows.vector,
            records,
            chance,
        );
        let snapshot = match made {
            Ok(snapshot) => snapshot,
            Err(error) => return Step::Refused(error),
        };
        match link.send(chance, |relay| relay.put_snapshot(&snapshot)) {
            None => Step::Silence,
            Some(Err(_)) => Step::Refused(Error::Damaged),
            Some(Ok(())) => {
                self.there.took_snapshot_of(&self.store.rows().vector);
                Step::Did
            }
        }
    }

    /// Drops the batches of others that lie behind a snapshot: they are in the
    /// records, and nobody has to be given them any more.
    ///
    /// # Errors
    /// [`Crash`] when the power fails meanwhile.
    pub fn drop_behind(&mut self, relay: &Relay, chance: &mut Chance) -> Result<(), Crash> {
        let Some(snapshot) = relay.snapshot() else {
            return Ok(());
        };
        let Ok(manifest) = Manifest::read(&snapshot.manifest) else {
            return Ok(());
        };
        let me = self.me();
        self.store.transact(chance, |rows| {
            for (author, point) in manifest.vector.iter() {
                if author != me && rows.vector.last(author) >= point.last {
                    rows.batches
                        .retain(|(device, first), _| *device != author || *first > point.last);
                    if rows.removed.last(author) < point.last {
                        rows.removed.set(author, point);
                    }
                }
            }
        })
    }
}
