//! Carrying out what the exchange asks for, over a link that fails.

use super::{Fate, Link, Phone};
use crate::chance::Chance;
use crate::store::Crash;
use notebook::sync::batch::{Place, Sealed};
use notebook::sync::exchange::{AnswerReader, Ask, Piece, ReadRequest, next};
use notebook::sync::log::Afterwards;
use notebook::sync::{Error, acknowledgement};
use notebook::{Change, DeviceId};
use std::collections::BTreeMap;

/// What a step came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// Something was done.
    Did,
    /// There is nothing to do but wait for news.
    InStep,
    /// No answer.
    Silence,
    /// The relay refused, or what came was refused here.
    Refused(Error),
}

impl Phone {
    /// Does the next thing.
    ///
    /// # Errors
    /// [`Crash`] when the power fails meanwhile.
    pub fn step(&mut self, link: &mut Link, chance: &mut Chance) -> Result<Step, Crash> {
        let ask = match next(&self.here(), &self.there) {
            Ok(ask) => ask,
            Err(error) => return Ok(Step::Refused(error)),
        };
        self.last_ask = Some(ask.clone());
        let step = match ask {
            Ask::Read { wait } => {
                let step = self.read(link, chance)?;
                if wait
                    && step == Step::Did
                    && next(&self.here(), &self.there) == Ok(Ask::Read { wait })
                {
                    Step::InStep
                } else {
                    step
                }
            }
            Ask::FetchMembership { from } => self.fetch_membership(from, link, chance)?,
            Ask::PushMembership { number } => self.push_membership(number, link, chance),
            Ask::Propose => self.propose(link, chance)?,
            Ask::Seal => self.seal(chance)?,
            Ask::Settle => self.settle(chance)?,
            Ask::Push { author, number } => self.push(author, number, link, chance),
            Ask::TakeSnapshot => self.take_snapshot(link, chance)?,
            Ask::MakeSnapshot => self.make_snapshot(link, chance),
            Ask::Acknowledge => self.acknowledge(link, chance)?,
        };
        if matches!(step, Step::Silence | Step::Refused(_)) {
            self.there.forget();
        }
        Ok(step)
    }

    fn read(&mut self, link: &mut Link, chance: &mut Chance) -> Result<Step, Crash> {
        let request = ReadRequest {
            members: self.membership.len(),
            vector: self.store.rows().vector.clone(),
        };
        let Ok(request) = ReadRequest::read(&request.bytes()) else {
            return Ok(Step::Refused(Error::Cut));
        };
        let answer = link.send_fated(chance, |relay| relay.read(&request).bytes());
        let Some((mut answer, fate)) = answer else {
            return Ok(Step::Silence);
        };
        // The connection may break at any byte of the answer.
        let broken = fate == Fate::AnswerCut;
        if broken {
            answer.truncate(chance.below(answer.len() + 1));
        }
        let mut reader = AnswerReader::default();
        let mut rest = answer.as_slice();
        while !rest.is_empty() {
            let (piece, after) = rest.split_at(1 + chance.below(rest.len()));
            rest = after;
            match reader.push(piece) {
                Ok(pieces) => {
                    for piece in pieces {
                        match piece {
                            Piece::Head(head) => {
                                if !self.there.heard(&head, self.membership.len()) {
                                    return Ok(Step::Did);
                                }
                            }
                            Piece::Batch(bytes) => {
                                if let Err(error) = self.take_in(&bytes, chance)? {
                                    return Ok(Step::Refused(error));
                                }
                            }
                        }
                    }
                }
                Err(error) => return Ok(Step::Refused(error)),
            }
        }
        Ok(if broken { Step::Silence } else { Step::Did })
    }

    /// Takes in a batch from wherever: the relay, a file, another phone.
    ///
    /// # Errors
    /// [`Crash`]; inside, why the batch was refused.
    pub fn take_in(
        &mut self,
        bytes: &[u8],
        chance: &mut Chance,
    ) -> Result<Result<Place, Error>, Crash> {
        let read = || {
            let header = Sealed::read(bytes)?.header;
            let rows = self.store.rows();
            let tip = rows.vector.get(header.device);
            self.device().receive(bytes, tip, rows.held(&header))
        };
        let received = match read() {
            Ok(received) => received,
            Err(error) => return Ok(Err(error)),
        };
        let (header, place) = (received.header, received.place);
        match place {
            Place::Known => {}
            Place::Next => self.store.transact(chance, |rows| {
                rows.merge(&received.changes);
                rows.put_batch(&header, bytes.to_vec());
            })?,
            Place::Resealed => self.store.transact(chance, |rows| {
                let at = (header.device, header.first);
                rows.batches.insert(at, bytes.to_vec());
            })?,
        }
        if let Some(last) = self.store.rows().last {
            self.clock.see(last);
        }
        Ok(Ok(place))
    }

    fn seal(&mut self, chance: &mut Chance) -> Result<Step, Crash> {
        let rows = self.store.rows();
        let tip = rows.vector.get(self.me());
        let waiting: Vec<Change> = rows.waiting.values().cloned().collect();
        let sealed = self.device().seal(tip, &waiting, chance);
        match sealed {
            Ok(Some(batch)) => self.store.transact(chance, |rows| {
                rows.waiting.retain(|number, _| *number > batch.header.last);
                rows.put_batch(&batch.header, batch.bytes);
                Step::Did
            }),
            Ok(None) => Ok(Step::Did),
            Err(error) => Ok(Step::Refused(error)),
        }
    }

    fn settle(&mut self, chance: &mut Chance) -> Result<Step, Crash> {
        for (at, afterwards) in self.unsettled() {
            let bytes = self.store.rows().batches[&at].clone();
            if afterwards == Afterwards::Reseal {
                match self.device().reseal(&bytes, chance) {
                    Ok(bytes) => self
                        .store
                        .transact(chance, |rows| rows.batches.insert(at, bytes))?,
                    Err(error) => return Ok(Step::Refused(error)),
                };
            } else {
                let opened = Sealed::read(&bytes).and_then(|sealed| self.device().open(&sealed));
                let changes = match opened {
                    Ok(changes) => changes,
                    Err(error) => return Ok(Step::Refused(error)),
                };
                let me = self.me();
                self.store.transact(chance, |rows| {
                    rows.adopted.insert(at);
                    changes.into_iter().for_each(|change| rows.log(me, change));
                })?;
            }
        }
        Ok(Step::Did)
    }

    fn push(
        &mut self,
        author: DeviceId,
        number: u32,
        link: &mut Link,
        chance: &mut Chance,
    ) -> Step {
        let rows = self.store.rows();
        let batch = rows
            .batches
            .range((author, 0)..=(author, number))
            .next_back();
        let Some(bytes) = batch.map(|(_, bytes)| bytes.clone()) else {
            return Step::Refused(Error::Gap {
                device: author,
                last: number,
            });
        };
        match link.send(chance, |relay| relay.append(&bytes)) {
            None => Step::Silence,
            Some(Err(error)) => Step::Refused(error),
            Some(Ok(())) => {
                if let Ok(sealed) = Sealed::read(&bytes) {
                    self.there.took(author, sealed.header.point());
                }
                Step::Did
            }
        }
    }

    fn acknowledge(&mut self, link: &mut Link, chance: &mut Chance) -> Result<Step, Crash> {
        let vector = self.store.rows().vector.clone();
        let bytes = acknowledgement::sign(&self.secret, self.membership.id(), &vector);
        match link.send(chance, |relay| relay.acknowledge(&bytes)) {
            None => Ok(Step::Silence),
            Some(Err(error)) => Ok(Step::Refused(error)),
            Some(Ok(())) => self.store.transact(chance, |rows| {
                rows.acknowledged = vector;
                Step::Did
            }),
        }
    }

    /// The stored batches of every author in order: what a file carries.
    #[must_use]
    pub fn file(&self) -> Vec<u8> {
        let rows = self.store.rows();
        let messages = rows.membership.iter().chain(rows.batches.values());
        notebook::sync::file::write(self.membership.id(), messages.map(Vec::as_slice))
    }

    /// All records.
    #[must_use]
    pub fn records(&self) -> &BTreeMap<notebook::plan::Key, serde_json::Value> {
        &self.store.rows().records
    }
}
