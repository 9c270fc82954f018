//! What the page and the sync worker say to each other, over the channel
//! [`CHANNEL`]. A message is a JSON text, or a list of a JSON text and bytes where
//! files and codes travel. No key of a notebook is ever in one; words are, since
//! the user must see them.

use super::subject::Subject;
use serde::{Deserialize, Serialize};

/// Name of the channel. All tabs and workers of one phone are on it; the one
/// worker that syncs answers.
pub const CHANNEL: &str = "stridebook-sync";

/// A notebook's id as 64 hexadecimal digits.
pub type NotebookId = String;
/// A device's id as a hyphenated UUID.
pub type DeviceId = String;

/// What a member may do, as in the membership log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Reads and writes.
    Coach,
    /// Reads and writes.
    Parent,
    /// Reads and writes.
    Player,
    /// Reads.
    ReadOnly,
    /// No phone: the sheet of paper.
    RecoverySheet,
}

/// What a page asks. Every one is answered by one [`Told::Answer`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ask {
    /// Tell state, notebooks and open requests now. Answer: `Done`.
    Tell,
    /// Sync from now on, with the server that this page came from (the page's
    /// policy lets it speak to no other). Shares nothing by itself. Answer: `Done`.
    SwitchOn,
    /// Send and fetch nothing any more; keys and records stay. Answer: `Done`.
    SwitchOff,
    /// This notebook is on the screen: hear of changes at once. Answer: `Done`.
    Watch {
        /// Whose.
        of: Option<Subject>,
    },
    /// Begin a notebook that can be shared, owned by this device; known already
    /// is no error. Sharing the club shares every hitter with its coaches.
    /// Answer: `Begun`.
    Share {
        /// Whose.
        of: Subject,
    },
    /// Make a pass by words for a notebook that this device owns (it is begun
    /// when there is none). Needs the server. Answer: `Words`.
    MakePass {
        /// Whose notebook.
        of: Subject,
        /// In which role.
        role: Role,
        /// How long the words can be used, in seconds; at most a week.
        lives_s: u64,
    },
    /// Take a pass by its words: sends this phone's request to join. It joins once
    /// the owner has let it in. Needs the server. Answer: `Requested`.
    TakePass {
        /// As typed.
        words: String,
    },
    /// Let the phone in that asked (see [`Told::Requests`]), after comparing the
    /// fingerprint. Answer: `Done`.
    Admit {
        /// The request's name.
        request: String,
    },
    /// Do not let it in. Answer: `Done`.
    Refuse {
        /// The request's name.
        request: String,
    },
    /// Without a network, on the new phone: its request, as bytes and as a code to
    /// show. Answer: `Code`.
    ShowRequest {
        /// The role that it was offered.
        role: Role,
    },
    /// Without a network, on the owner's phone: the request that was read off the
    /// other's screen comes as bytes. Answer: `Request`, to compare; [`Ask::SealPass`]
    /// then lets it in.
    ReadRequest {
        /// To whose notebook.
        of: Subject,
        /// In which role.
        role: Role,
    },
    /// Without a network: lets in the phone whose request was read, at once, and
    /// gives the pass sealed to it. A file ([`Ask::WriteFile`]) then carries the
    /// notebook. Answer: `Code`.
    SealPass {
        /// The request's name.
        request: String,
    },
    /// Without a network, on the new phone: the sealed pass that was read off the
    /// owner's screen comes as bytes. Answer: `Requested`.
    ReadPass,
    /// Take a member off: a new key for those who stay. Protects what is written
    /// afterwards. Of the club: off every notebook of the club that this device
    /// owns. Answer: `Done` once it is noted; it is carried out with the server.
    TakeOff {
        /// From which notebook.
        notebook: NotebookId,
        /// Whom.
        device: DeviceId,
    },
    /// Give a member another role. Answer as for `TakeOff`.
    ChangeRole {
        /// In which notebook.
        notebook: NotebookId,
        /// Whose.
        device: DeviceId,
        /// From now on.
        role: Role,
    },
    /// Make another member the owner. Answer as for `TakeOff`.
    HandOver {
        /// Which notebook.
        notebook: NotebookId,
        /// To whom.
        device: DeviceId,
    },
    /// Draw the words of a recovery sheet and make it a member of every notebook
    /// that this device owns, now and later. They are shown once. Answer: `Words`.
    MakeSheet,
    /// Become the owner of every notebook of a recovery sheet. Needs the server.
    /// Answer: `Recovered`.
    Recover {
        /// The sheet's words as typed.
        words: String,
    },
    /// A notebook as a sealed file, for another phone of its members. Answer: `File`
    /// with bytes.
    WriteFile {
        /// Which.
        notebook: NotebookId,
    },
    /// Take in a sealed file; it comes as bytes. Answer: `Read`.
    ReadFile,
    /// Look for a code in a picture of the camera, which comes as bytes: grey
    /// values, row by row. Answer: `Seen`.
    LookForCode {
        /// Pixels of a row.
        width: u32,
        /// Rows.
        height: u32,
    },
    /// After a clash ([`SharedNotebook::clash`]): take another identity, let go of what
    /// the other phone has taken the numbers of, and keep it as changes to be sent. Of
    /// every notebook this phone then waits to be let in again: by a pass, or, who owned
    /// it, by the recovery sheet. Pages must be loaded again. Answer: `Done`.
    GoOnAsNew,
    /// Stop a long catch-up; what has come so far stays. Answer: `Done`.
    Pause,
    /// Go on, or try again now. Answer: `Done`.
    GoOn,
}

/// An ask with the name that its answer carries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Any text that no other ask has.
    pub id: String,
    /// What is asked.
    pub ask: Ask,
}

/// What the worker tells: to all pages, whenever it changes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Told {
    /// A worker has taken up syncing: what was asked before and not answered is
    /// to be asked again.
    Ready,
    /// How far syncing is.
    State(SyncState),
    /// All notebooks of this device that can be shared.
    Notebooks(Vec<SharedNotebook>),
    /// Phones that ask to be let in.
    Requests(Vec<JoinRequest>),
    /// The answer to an ask.
    Answer {
        /// The ask's name.
        to: String,
        /// The answer; or why not, as a sentence for the user.
        answer: Result<Answer, String>,
    },
}

/// How far syncing is: what the user is shown.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SyncState {
    /// Not switched on, or nothing is shared: all on this phone.
    #[default]
    OnThisPhone,
    /// Changes of this phone have not reached the server.
    Waiting {
        /// How many.
        changes: u32,
        /// Whether the server answered when it was last asked.
        reached: bool,
    },
    /// All is in step.
    InStep {
        /// Since when, in milliseconds since 1970 by the phone's clock.
        at_ms: f64,
    },
    /// A catch-up is under way.
    CatchingUp {
        /// Entries taken in.
        done: u32,
        /// Of how many.
        of: u32,
    },
    /// A catch-up was stopped by the user.
    Paused {
        /// Entries taken in.
        done: u32,
        /// Of how many.
        of: u32,
    },
    /// Something needs the user.
    Attention {
        /// What, as a sentence.
        sentence: String,
    },
}

/// A notebook that is shared, or being joined.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SharedNotebook {
    /// Its id.
    pub notebook: NotebookId,
    /// Whose; `None` until the first entries have come.
    pub of: Option<Subject>,
    /// Whether this device owns it, and so may change its members.
    pub mine: bool,
    /// What this device may do; `None` while it waits to be let in, and once it
    /// was taken off.
    pub role: Option<Role>,
    /// Waits to be let in.
    pub joining: bool,
    /// Another phone uses this phone's identity.
    pub clash: bool,
    /// This device's fingerprint in six words, for comparing.
    pub fingerprint: String,
    /// Its members.
    pub members: Vec<Member>,
    /// Changes of this phone that have not reached the server.
    pub waiting: u32,
    /// When it was last in step, in milliseconds since 1970.
    pub in_step_ms: Option<f64>,
    /// What is wrong with it, as a sentence.
    pub trouble: Option<String>,
}

/// A member of a notebook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Member {
    /// Which device.
    pub device: DeviceId,
    /// What it may do.
    pub role: Role,
    /// Its fingerprint in six words.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// Whether it owns the notebook.
    pub owner: bool,
    /// What is under way with it: noted here, not carried out yet.
    pub leaving: bool,
}

/// A phone that asks to be let in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JoinRequest {
    /// Its name, for `Admit`, `Refuse` and `SealPass`.
    pub request: String,
    /// To which notebook.
    pub notebook: NotebookId,
    /// Whose.
    pub of: Option<Subject>,
    /// In the role that the pass offers.
    pub role: Role,
    /// Its fingerprint in six words: the same must stand on that phone.
    pub fingerprint: String,
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Done, or noted.
    Done,
    /// A notebook that can be shared.
    Begun {
        /// Its id.
        notebook: NotebookId,
    },
    /// Words to show.
    Words {
        /// Twelve, a blank between two.
        words: String,
    },
    /// The request is on its way.
    Requested {
        /// To join which notebook.
        notebook: NotebookId,
        /// Six words that the owner compares.
        fingerprint: String,
    },
    /// A phone's request, to compare.
    Request(JoinRequest),
    /// A code to show; the same bytes come with the message.
    Code {
        /// Modules on a side, without the quiet zone of four.
        side: usize,
        /// Row by row, `1` is dark and `0` light.
        dark: String,
        /// Six words that belong to this phone.
        fingerprint: String,
    },
    /// The sheet's notebooks are this device's now.
    Recovered {
        /// How many.
        notebooks: u32,
    },
    /// A file; its bytes come with the message.
    File {
        /// What to call it.
        name: String,
    },
    /// Whether a code was in the picture; its bytes come with the message.
    Seen {
        /// It was.
        found: bool,
    },
    /// What a file brought.
    Read {
        /// New entries.
        entries: u32,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_are_read_back_as_written() {
        let asked = Asked {
            id: "1".to_owned(),
            ask: Ask::MakePass {
                of: Subject::Club,
                role: Role::ReadOnly,
                lives_s: 600,
            },
        };
        let text = serde_json::to_string(&asked).unwrap();
        assert_eq!(serde_json::from_str::<Asked>(&text).unwrap(), asked);
        let told = Told::Answer {
            to: "1".to_owned(),
            answer: Err("The server did not answer.".to_owned()),
        };
        let text = serde_json::to_string(&told).unwrap();
        assert_eq!(serde_json::from_str::<Told>(&text).unwrap(), told);
    }
}
