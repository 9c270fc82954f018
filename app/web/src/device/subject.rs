//! Which notebook a record belongs to. No storage here, and no keys.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Whose notebook: one hitter's, or the club's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Subject {
    /// What spans hitters; for coaches only.
    Club,
    /// One hitter's, by the id of that hitter's record.
    Hitter(notebook::RecordId),
}

/// Text that names no notebook.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} names no notebook")]
pub struct NoSubject(String);

const CLUB: &str = "club";

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Club => f.write_str(CLUB),
            Self::Hitter(id) => id.fmt(f),
        }
    }
}

impl FromStr for Subject {
    type Err = NoSubject;
    fn from_str(text: &str) -> Result<Self, NoSubject> {
        match text {
            CLUB => Ok(Self::Club),
            id => match id.parse() {
                Ok(id) => Ok(Self::Hitter(id)),
                Err(_) => Err(NoSubject(id.chars().take(80).collect())),
            },
        }
    }
}

impl From<Subject> for String {
    fn from(subject: Subject) -> Self {
        subject.to_string()
    }
}

impl TryFrom<String> for Subject {
    type Error = NoSubject;
    fn try_from(text: String) -> Result<Self, NoSubject> {
        text.parse()
    }
}

/// The notebook that a record belongs to, by the name of its store, its id and
/// its field `hitter`, if it has one. `None` for a kind that this version does not
/// know and that names no hitter.
#[must_use]
pub fn subject_of(store: &str, id: &str, hitter: Option<&str>) -> Option<Subject> {
    let of_hitter = |id: &str| id.parse().ok().map(Subject::Hitter);
    match (store, hitter) {
        ("hitters", _) => of_hitter(id),
        ("equipment" | "notebooks" | "groups" | "joins" | "own" | "sessions", _) => {
            Some(Subject::Club)
        }
        (_, Some(hitter)) => of_hitter(hitter),
        (_, None) => None,
    }
}

/// Records of kinds that this version does not know.
pub const OTHERS: &str = "others";

/// The stores that hold records of a notebook, the first one first: whoever joins
/// sees by it whose notebook it is. Logging what was there before goes by the place
/// in this list, so a new store goes to its end.
#[must_use]
pub const fn stores_of(subject: Subject) -> &'static [&'static str] {
    match subject {
        Subject::Club => &[
            "equipment",
            "notebooks",
            OTHERS,
            "groups",
            "joins",
            "own",
            "sessions",
        ],
        Subject::Hitter(_) => &[
            "hitters",
            "set-ups",
            "checks",
            "observations",
            "reps",
            OTHERS,
            "outcomes",
            "rounds",
            "contacts",
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use notebook::Kind;

    const A: &str = "019ecb3d-0000-7000-8000-000000000001";
    const B: &str = "019ecb3d-0000-7000-8000-000000000002";

    fn hitter(id: &str) -> Option<Subject> {
        Some(Subject::Hitter(id.parse().unwrap()))
    }

    #[test]
    fn a_hitter_and_all_that_names_one_go_into_that_hitters_notebook() {
        assert_eq!(subject_of(Kind::Hitter.store(), A, None), hitter(A));
        for kind in [
            Kind::SetUp,
            Kind::Check,
            Kind::Observation,
            Kind::Rep,
            Kind::Outcome,
            Kind::Round,
            Kind::Contact,
        ] {
            assert_eq!(subject_of(kind.store(), A, Some(B)), hitter(B));
        }
        assert_eq!(subject_of("of-next-year", A, Some(B)), hitter(B));
    }

    #[test]
    fn what_the_club_has_goes_into_the_clubs_even_if_it_names_a_hitter() {
        let kinds = [
            Kind::Equipment,
            Kind::Group,
            Kind::Join,
            Kind::Own,
            Kind::Session,
        ];
        for store in kinds.map(Kind::store) {
            assert_eq!(subject_of(store, A, None), Some(Subject::Club));
            assert_eq!(subject_of(store, A, Some(B)), Some(Subject::Club));
        }
        assert_eq!(subject_of("notebooks", A, None), Some(Subject::Club));
    }

    #[test]
    fn every_kind_of_record_has_a_notebook() {
        for kind in Kind::ALL {
            assert!(subject_of(kind.store(), A, Some(B)).is_some(), "{kind:?}");
        }
    }

    #[test]
    fn the_stores_of_a_notebook_hold_every_kind_that_goes_into_it() {
        let stores = Kind::ALL.map(Kind::store);
        let [club, hitters] = [Subject::Club, hitter(B).unwrap()].map(|subject| {
            let found = stores_of(subject).iter().copied();
            let mut found: Vec<_> = found.filter(|store| stores.contains(store)).collect();
            let mut wanted: Vec<_> = stores
                .into_iter()
                .filter(|store| subject_of(store, B, Some(B)) == Some(subject))
                .collect();
            found.sort_unstable();
            wanted.sort_unstable();
            assert_eq!(found, wanted, "{subject}");
            assert!(stores_of(subject).contains(&OTHERS), "{subject}");
            found.len()
        });
        assert_eq!(club + hitters, stores.len());
    }

    #[test]
    fn an_unknown_kind_without_a_hitter_has_none() {
        assert_eq!(subject_of("of-next-year", A, None), None);
        assert_eq!(subject_of("reps", A, Some("no id")), None);
    }

    #[test]
    fn a_subject_is_read_back_as_written() {
        for subject in [Some(Subject::Club), hitter(A)].into_iter().flatten() {
            assert_eq!(subject.to_string().parse(), Ok(subject));
        }
        assert!("somebody".parse::<Subject>().is_err());
    }
}
