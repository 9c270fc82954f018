//! The loop of the one worker that syncs: answers what pages ask, works through the
//! notebooks, waits. One thing at a time, so nothing here is shared or locked.

mod waiting;

use super::browser::now_ms;
use super::error::Error;
use super::exchange::{self, Step};
use super::hex::Hex;
use super::kept::{self, Kept, NOTEBOOK, Want};
use super::line::Line;
use super::open::{Core, Open};
use super::passes::{self, Invited, PASS};
use super::told;
use super::{club, own_log};
use crate::device::subject::Subject;
use crate::device::sync_messages::{Role, Told};
use notebook::sync::problem::Problem;
use std::rc::Rc;

/// A notebook that is not on the screen is looked at so often, in milliseconds.
const LOOK_EVERY_MS: f64 = 60_000.0;
/// A pass that was made or taken so long ago is looked at less often, in seconds.
const FRESH_S: u64 = 900;
/// The first and the longest pause after a failure, in milliseconds.
const PAUSE_MS: (i32, i32) = (1_000, 60_000);
/// A page reads again at most so often during a catch-up, in milliseconds.
const TELL_EVERY_MS: f64 = 1_000.0;

/// The row with the keys of the recovery sheet, to let it in to later notebooks.
pub const SHEET: &str = "sheet";

/// Everything the worker has in memory.
pub struct Engine {
    /// What every part needs.
    pub core: Core,
    /// The line to the pages.
    pub line: Rc<Line>,
    /// All notebooks that can be shared.
    pub notebooks: Vec<Open>,
    /// Passes that were given out.
    pub invited: Vec<(String, Invited)>,
    /// Keys of the recovery sheet.
    pub sheet: Option<Hex>,
    /// Sync is switched on.
    pub on: bool,
    /// A catch-up was stopped by the user.
    pub paused: bool,
    /// Whose notebook is on the screen.
    pub watched: Option<Subject>,
    /// Whether the relay answered when it was last asked.
    pub reached: bool,
    /// The pause after the next failure, in milliseconds.
    pause_ms: i32,
    /// What pages were told last.
    said: told::Said,
    /// This phone has another identity now; all this is of the one before.
    pub reborn: bool,
    /// Pages must read again, and when they were told so last.
    untold: bool,
    told_ms: f64,
}

impl Engine {
    /// Reads what is stored.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn load(core: Core, line: Rc<Line>) -> Result<Self, Error> {
        let connection = core.database.connection();
        let mut notebooks = Vec::new();
        for (id, kept) in kept::rows::<Kept>(connection, NOTEBOOK).await? {
            notebooks.push(Open::load(&core, id.parse()?, kept).await?);
        }
        Ok(Self {
            notebooks,
            invited: kept::rows(connection, PASS).await?,
            sheet: kept::row(connection, SHEET).await?,
            on: core.database.syncs().await?,
            core,
            line,
            paused: false,
            watched: None,
            reached: true,
            pause_ms: PAUSE_MS.0,
            said: told::Said::default(),
            reborn: false,
            untold: false,
            told_ms: 0.0,
        })
    }

    /// Runs until this phone goes on as a new one.
    pub async fn run(mut self) {
        self.line.tell(&Told::Ready, None);
        loop {
            let counted = self.count_what_pages_wrote().await;
            while let Some((asked, bytes)) = self.line.next() {
                let answered = self.answer(asked.ask, bytes).await;
                self.tell();
                let (answer, bytes) = match answered {
                    Ok((answer, bytes)) => (Ok(answer), bytes),
                    Err(error) => (Err(error.to_string()), None),
                };
                let to = asked.id;
                self.line
                    .tell(&Told::Answer { to, answer }, bytes.as_deref());
                if self.reborn {
                    return;
                }
            }
            if self.line.take_online() {
                self.pause_ms = PAUSE_MS.0;
            }
            let worked = match counted {
                Ok(()) => self.work().await,
                Err(error) => Err(error),
            };
            self.have_pages_read(true);
            self.tell();
            match worked {
                Ok(()) => {
                    self.pause_ms = PAUSE_MS.0;
                    self.wait_for_news().await;
                }
                Err(error) => self.pause(&error).await,
            }
        }
    }

    /// Tells pages what has changed since they were told.
    pub fn tell(&mut self) {
        let said = told::Said::of(self);
        said.tell_beyond(&self.said, &self.line);
        self.said = said;
    }

    /// Tells pages everything.
    pub fn tell_all(&mut self) {
        self.said = told::Said::default();
        let said = told::Said::of(self);
        said.tell_all(&self.line);
        self.said = said;
    }

    async fn count_what_pages_wrote(&mut self) -> Result<(), Error> {
        if self.line.take_changed() {
            for open in &mut self.notebooks {
                own_log::count(&self.core, open).await?;
                if open.unsealed > 0 {
                    open.look_ms = 0.0;
                }
            }
        }
        Ok(())
    }

    /// Works until all is in step, or a page asks something.
    async fn work(&mut self) -> Result<(), Error> {
        if !self.on || self.paused {
            return Ok(());
        }
        self.look_at_passes().await?;
        let sheet = self.sheet_want();
        if club::duties(&self.core, &mut self.notebooks, sheet.as_ref()).await? {
            self.line.page_wrote();
        }
        let mut order: Vec<usize> = (0..self.notebooks.len()).collect();
        let is_watched = |index: &usize| self.notebooks[*index].kept.subject == self.watched;
        order.sort_by_key(|index| !is_watched(index));
        for index in order {
            if self.line.is_asked() {
                return Ok(());
            }
            self.work_on(index).await?;
        }
        Ok(())
    }

    async fn work_on(&mut self, index: usize) -> Result<(), Error> {
        let watched = self.watched;
        loop {
            let open = &mut self.notebooks[index];
            let on_screen = open.kept.subject.is_some() && open.kept.subject == watched;
            if now_ms() < open.look_ms && !on_screen {
                return Ok(());
            }
            let stepped = if open.membership.is_none() || open.kept.off {
                look_whether_in(&self.core, open).await
            } else {
                exchange::step(&self.core, open).await
            };
            match stepped {
                Ok(Step::Rests) => {
                    self.reached = true;
                    open.trouble = None;
                    open.look_ms = now_ms() + LOOK_EVERY_MS;
                    return Ok(());
                }
                Ok(step) => {
                    self.reached = true;
                    self.untold |= step == Step::Changed;
                }
                Err(error) => return self.failed(index, error),
            }
            self.have_pages_read(false);
            self.tell();
            if self.line.is_asked() {
                return Ok(());
            }
        }
    }

    /// What a failed step means: for all notebooks, or for this one alone.
    fn failed(&mut self, index: usize, error: Error) -> Result<(), Error> {
        let open = &mut self.notebooks[index];
        open.look_ms = now_ms() + LOOK_EVERY_MS / 4.0;
        match error {
            Error::Silence => {
                self.reached = false;
                open.look_ms = 0.0;
                Err(Error::Silence)
            }
            Error::Refused {
                problem: Some(Problem::SlowDown | Problem::Unavailable | Problem::Internal),
                ..
            } => {
                open.look_ms = 0.0;
                Err(error)
            }
            Error::Joining => {
                self.reached = true;
                if now_ms() - open.since_ms < 1e3 * FRESH_S as f64 {
                    open.look_ms = 0.0;
                }
                Ok(())
            }
            _ if error.problem() == Some(Problem::NotCertified) => {
                self.reached = true;
                open.kept.off = true;
                open.trouble = None;
                Ok(())
            }
            error => {
                self.reached |= error.problem().is_some() || error == Error::Clash;
                open.clash = error == Error::Clash;
                open.trouble = Some(error.to_string());
                Ok(())
            }
        }
    }

    async fn look_at_passes(&mut self) -> Result<(), Error> {
        let now_s = super::browser::now_s();
        let mut failed = None;
        for (name, invited) in &mut self.invited {
            let spent = invited.request.is_none() && now_s > invited.expires_s + FRESH_S;
            if spent {
                kept::forget_row(self.core.database.connection(), &format!("{PASS}{name}")).await?;
            } else if let Err(error) = passes::look(&self.core, name, invited).await {
                if error == Error::Silence {
                    self.reached = false;
                }
                failed = Some(error);
            }
        }
        self.invited.retain(|(_, invited)| {
            invited.request.is_some() || now_s <= invited.expires_s + FRESH_S
        });
        failed
            .filter(|error| *error == Error::Silence)
            .map_or(Ok(()), Err)
    }

    /// The wish to let the recovery sheet in, if there is a sheet.
    pub fn sheet_want(&self) -> Option<Want> {
        let keys = self.sheet.clone()?;
        Some(Want::Admit(keys, Role::RecoverySheet))
    }

    /// Has pages read again what a step changed; not too often on the way.
    fn have_pages_read(&mut self, now: bool) {
        if self.untold && (now || now_ms() - self.told_ms > TELL_EVERY_MS) {
            self.core.database.tell_others();
            self.untold = false;
            self.told_ms = now_ms();
        }
    }
}

/// Whether this phone has been let in (again).
async fn look_whether_in(core: &Core, open: &mut Open) -> Result<Step, Error> {
    if passes::join(core, open).await? {
        open.kept.off = false;
        return Ok(Step::Did);
    }
    Err(Error::Joining)
}
