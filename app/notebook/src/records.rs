//! The record types, one a file.

mod check;
mod contact;
mod context;
mod equipment;
mod group;
mod hitter;
mod outcome;
mod own;
mod rep;
mod session;
mod set_up;

pub use check::{Check, Observation};
pub use contact::Contact;
pub use context::HittingContext;
pub use equipment::Equipment;
pub use group::{Group, Join};
pub use hitter::Hitter;
pub use outcome::Outcome;
pub use own::Own;
pub use rep::Rep;
pub use session::{Round, Session};
pub use set_up::SetUp;

/// Implements [`crate::Record`] for a type with a `head` and these fields that
/// can be edited.
macro_rules! record {
    ($type:ident: $kind:ident, edits: [$($field:ident),*]) => {
        impl crate::Record for $type {
            const KIND: crate::Kind = crate::Kind::$kind;
            fn head(&self) -> &crate::Head {
                &self.head
            }
            fn head_mut(&mut self) -> &mut crate::Head {
                &mut self.head
            }
            fn merge(&mut self, other: &Self) {
                self.head.merge(&other.head);
                $(crate::field::Merge::merge(&mut self.$field, &other.$field);)*
            }
        }
    };
}
use record;
