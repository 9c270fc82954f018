//! Groups, joins, what a coach wrote, what came of cards, sessions with rounds and
//! contacts, and what is attached to a check.

use super::{Index, Store};
use crate::device::attachments::ATTACHMENTS;
use crate::device::database::{BY_HITTER, HEAD_ID};
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    for kind in [Kind::Group, Kind::Join, Kind::Own, Kind::Session] {
        stores.push(Store::keyed(kind.store(), HEAD_ID));
    }
    let of_hitters: [(Kind, &[&'static str]); 3] = [
        (Kind::Outcome, &[]),
        (Kind::Round, &["session"]),
        (Kind::Contact, &["session", "set"]),
    ];
    for (kind, paths) in of_hitters {
        let mut indexes: Vec<Index> = paths.iter().map(|path| Index::over(path)).collect();
        indexes.push(Index {
            name: BY_HITTER,
            key_path: vec!["hitter", HEAD_ID],
        });
        stores.push(Store {
            indexes,
            ..Store::keyed(kind.store(), HEAD_ID)
        });
    }
    // Pictures and clips: on this phone only.
    stores.push(Store {
        indexes: vec![Index::over("hitter"), Index::over("check")],
        ..Store::keyed(ATTACHMENTS, "id")
    });
    stores
}
