//! Passes: what the owner has given out, and how a phone joins by one.

use super::browser::now_s;
use super::certificates::role_of;
use super::error::Error;
use super::hex::{Hex, to_hex};
use super::kept::{self, Kept};
use super::members::{entries_at_relay, take_entries};
use super::open::{Core, Open};
use super::server::Request;
use crate::device::sync_messages::Role;
use notebook::sync::passes::{self, MAX_LIFE_S, Mailboxes, Pass};
use notebook::sync::problem::Problem;
use notebook::sync::words::{Words, six_words};
use notebook::sync::{Certificate, Membership, NotebookId};
use serde::{Deserialize, Serialize};

/// How the rows of passes begin.
pub const PASS: &str = "pass/";

/// A pass that was given out, or a request that was read off a screen.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Invited {
    /// To which notebook.
    pub notebook: String,
    /// In which role.
    pub role: Role,
    /// When it was made, in seconds since 1970.
    pub made_s: u64,
    /// When it ends, in seconds since 1970.
    pub expires_s: u64,
    /// The words, sealed by the vault; none for a request off a screen.
    pub words: Option<Hex>,
    /// The request, once it is there.
    pub request: Option<Hex>,
}

impl Invited {
    /// The keys of the phone that asks.
    ///
    /// # Errors
    /// [`Error::Gone`] when none asks yet.
    pub fn certificate(&self) -> Result<Certificate, Error> {
        let request = self.request.as_ref().ok_or(Error::Gone)?;
        let mut certificate = passes::read_request(&request.0)?;
        // The owner says which role, not who asks.
        certificate.role = role_of(self.role);
        Ok(certificate)
    }
}

/// Six words to compare.
pub fn fingerprint(certificate: &Certificate) -> String {
    six_words(&certificate.fingerprint()).join(" ")
}

/// Six words of this device.
pub fn own_fingerprint(core: &Core) -> String {
    fingerprint(&core.secret.certificate(notebook::sync::Role::ReadOnly))
}

fn words_name(name: &str) -> String {
    format!("words/{name}")
}

/// Makes a pass and puts it into its mailbox: its words, and what is kept of it.
///
/// # Errors
/// [`Error::NotMine`], or as a request.
pub async fn make(
    core: &Core,
    open: &Open,
    role: Role,
    lives_s: u64,
) -> Result<(String, String, Invited), Error> {
    let membership = open.membership()?;
    if !open.is_mine(core) {
        return Err(Error::NotMine);
    }
    let owner = membership.device(core.me()).ok_or(Error::NotMine)?;
    let lives_s = lives_s.clamp(60, MAX_LIFE_S);
    let mut random = core.random.clone();
    let words = Words::draw(&mut random);
    let mailboxes = Mailboxes::of(&words);
    let name = to_hex(&mailboxes.pass.name);
    let pass = Pass {
        notebook: open.id,
        role: role_of(role),
        owner: *owner,
        expires_s: now_s() + lives_s,
    };
    let invited = Invited {
        notebook: open.id.to_string(),
        role,
        made_s: now_s(),
        expires_s: pass.expires_s,
        words: Some(
            core.vault
                .seal(&words_name(&name), words.as_bytes())
                .await?,
        ),
        request: None,
    };
    let connection = core.database.connection();
    kept::keep_row(connection, &format!("{PASS}{name}"), &invited).await?;
    let sealed = mailboxes.pass.seal(&pass.bytes(), &mut random);
    let path = format!("/v1/mailboxes/{name}?expires={lives_s}");
    core.server
        .ask(Request::open("PUT", &path, &sealed))
        .await?;
    Ok((words.text().to_string(), name, invited))
}

/// Looks whether somebody has taken the pass. Says whether there is news.
///
/// # Errors
/// As a request.
pub async fn look(core: &Core, name: &str, invited: &mut Invited) -> Result<bool, Error> {
    let (None, Some(words)) = (&invited.request, &invited.words) else {
        return Ok(false);
    };
    let words = core.vault.open_secret(&words_name(name), words).await?;
    let words: [u8; 16] = words
        .try_into()
        .map_err(|_| notebook::sync::Error::Damaged)?;
    let mailbox = Mailboxes::of(&Words::from_bytes(words)).request;
    let Some(sealed) = taken(core, &mailbox.name).await? else {
        return Ok(false);
    };
    invited.request = Some(Hex(mailbox.open(&sealed)?));
    let connection = core.database.connection();
    kept::keep_row(connection, &format!("{PASS}{name}"), &invited).await?;
    Ok(true)
}

/// What lay in a mailbox, which is empty then.
async fn taken(core: &Core, name: &[u8; 16]) -> Result<Option<Vec<u8>>, Error> {
    let path = format!("/v1/mailboxes/{}/take", to_hex(name));
    match core.server.ask(Request::open("POST", &path, &[])).await {
        Ok(sealed) => Ok(Some(sealed)),
        Err(error) if error.problem() == Some(Problem::None) => Ok(None),
        Err(error) => Err(error),
    }
}

/// Takes the pass that typed words lead to: the notebook to join, and its row.
///
/// # Errors
/// [`Error::NoPass`], or as a request.
pub async fn take(core: &Core, typed: &str) -> Result<(NotebookId, Kept), Error> {
    let mailboxes = Mailboxes::of(&Words::read(typed)?);
    let sealed = taken(core, &mailboxes.pass.name).await?;
    let bytes = mailboxes.pass.open(&sealed.ok_or(Error::NoPass)?)?;
    let pass = Pass::read(&bytes, now_s())?;
    let request = passes::request(&core.secret, pass.role);
    let sealed = mailboxes.request.seal(&request, &mut core.random.clone());
    let kept = Kept {
        pass: Some(Hex(bytes)),
        to_send: Some((to_hex(&mailboxes.request.name), Hex(sealed))),
        ..Kept::default()
    };
    Ok((pass.notebook, kept))
}

/// The row of a notebook to join, by a pass that was sealed to this phone.
///
/// # Errors
/// When it was sealed to another one, or has expired.
pub fn take_sealed(core: &Core, sealed: &[u8]) -> Result<(NotebookId, Kept), Error> {
    let pass = Pass::open(&core.secret, sealed, now_s())?;
    let kept = Kept {
        pass: Some(Hex(pass.bytes())),
        ..Kept::default()
    };
    Ok((pass.notebook, kept))
}

/// Goes on with joining; says whether this phone is in now.
///
/// # Errors
/// As a request, or [`Error::OtherOwner`].
pub async fn join(core: &Core, open: &mut Open) -> Result<bool, Error> {
    if let Some((name, sealed)) = &open.kept.to_send {
        let path = format!("/v1/mailboxes/{name}");
        match core
            .server
            .ask(Request::open("PUT", &path, &sealed.0))
            .await
        {
            // It is there already: the answer was lost.
            Err(error) if error.problem() == Some(Problem::MailboxFull) => {}
            answered => drop(answered?),
        }
        let mut next = open.kept.clone();
        next.to_send = None;
        open.keep(core, next).await?;
    }
    match entries_at_relay(core, open.id, 0, &core.secret).await {
        Ok(entries) => {
            enter(core, open, &entries).await?;
            Ok(true)
        }
        // Not let in yet, or the owner's phone has not been online since.
        Err(error) if is_not_yet(&error) => Ok(false),
        Err(error) => Err(error),
    }
}

fn is_not_yet(error: &Error) -> bool {
    let not_yet = [
        Problem::NotCertified,
        Problem::NoNotebook,
        Problem::RequestSignature,
    ];
    error.problem().is_some_and(|it| not_yet.contains(&it))
}

/// Takes in the membership log of a notebook that this phone joins, if it names who
/// gave the pass as an owner.
///
/// # Errors
/// [`Error::OtherOwner`], or when the log is not sound.
pub async fn enter<E: AsRef<[u8]>>(
    core: &Core,
    open: &mut Open,
    entries: &[E],
) -> Result<(), Error> {
    let membership = Membership::replay(open.id, entries)?;
    if let Some(pass) = &open.kept.pass {
        // Its end is for taking it, and it has been taken.
        let inviter = Pass::read(&pass.0, 0)?.owner;
        let known = membership.ever(inviter.device);
        let same = known.is_some_and(|known| known.fingerprint() == inviter.fingerprint());
        let owned = (1..=membership.len())
            .any(|length| membership.owner_at(length) == Some(inviter.device));
        if !same || !owned {
            return Err(Error::OtherOwner);
        }
    }
    take_entries(core, open, entries).await?;
    let mut next = open.kept.clone();
    next.pass = None;
    open.keep(core, next).await
}
