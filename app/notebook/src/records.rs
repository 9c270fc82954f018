//! The record types, one a file.

mod check;
mod context;
mod equipment;
mod hitter;
mod rep;
mod set_up;

pub use check::{Check, Observation};
pub use context::HittingContext;
pub use equipment::Equipment;
pub use hitter::Hitter;
pub use rep::Rep;
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
