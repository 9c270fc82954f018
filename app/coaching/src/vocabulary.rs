//! The shared lists of the trade, each with text ids that are stored and never
//! change meaning. No rules and no numbers here: those live where they are used.
//!
//! An id that this version does not know comes from a newer one: `from_id`
//! gives `None`, and the caller keeps the stored text as it is.

/// Makes one list: the enum, `ALL`, `id`, `from_id`, `name`, and the stored
/// form (the id as text) for serde.
macro_rules! list {
    ($(#[$about:meta])* $list:ident { $($(#[$doc:meta])* $entry:ident = $id:literal, $name:literal;)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $list {
            $($(#[$doc])* $entry,)+
        }

        impl $list {
            /// Every entry, in the order in which screens list them.
            pub const ALL: &'static [Self] = &[$(Self::$entry),+];

            /// The stored text id. It never changes meaning.
            pub const fn id(self) -> &'static str {
                match self { $(Self::$entry => $id),+ }
            }

            /// The entry of a stored id; `None` when this version has no such entry.
            pub fn from_id(id: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|entry| entry.id() == id)
            }

            /// The name on the screen, in the trade's words.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$entry => $name),+ }
            }
        }

        impl serde::Serialize for $list {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.id())
            }
        }

        impl<'de> serde::Deserialize<'de> for $list {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                struct Id;
                impl serde::de::Visitor<'_> for Id {
                    type Value = $list;

                    fn expecting(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                        f.write_str(concat!("an id of the list ", stringify!($list)))
                    }

                    fn visit_str<E: serde::de::Error>(self, id: &str) -> Result<$list, E> {
                        $list::from_id(id)
                            .ok_or_else(|| E::invalid_value(serde::de::Unexpected::Str(id), &self))
                    }
                }
                from.deserialize_str(Id)
            }
        }
    };
}
pub(crate) use list;

list! {
    /// Where the ball comes from in this set: the one list that every record of
    /// hitting shares.
    Environment {
        /// A light medicine ball, thrown.
        MedicineBall = "medicine-ball", "Medicine ball";
        /// A ball on a tee.
        Tee = "tee", "Tee";
        /// Tossed from in front, from behind a screen.
        FrontToss = "front-toss", "Front toss";
        /// Tossed from the side.
        SideToss = "side-toss", "Side toss";
        /// Tossed from in front, off to one side.
        AngledToss = "angled-toss", "Angled toss";
        /// Thrown overhand from a short distance.
        ShortBattingPractice = "short-batting-practice", "Short batting practice";
        /// Fed by a pitching machine.
        Machine = "machine", "Machine";
        /// A pitcher who pitches to get the hitter out, in practice.
        Live = "live", "Live pitching";
        /// A game.
        Game = "game", "Game";
    }
}

list! {
    /// The sport. The ids are those of `flight`.
    Sport {
        /// Baseball.
        Baseball = "baseball", "Baseball";
        /// Fast-pitch softball.
        Softball = "softball", "Softball";
    }
}

list! {
    /// The side from which one rep was batted. A hitter who bats right stands
    /// with the left side to the pitcher and pulls to left field.
    Side {
        /// Batted left-handed.
        Left = "left", "Left";
        /// Batted right-handed.
        Right = "right", "Right";
    }
}

impl Side {
    /// The other side.
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// The field on the pull side, for the few texts that must name a field.
    pub const fn pull_field(self) -> &'static str {
        match self {
            Self::Left => "right field",
            Self::Right => "left field",
        }
    }

    /// The field on the opposite side.
    pub const fn opposite_field(self) -> &'static str {
        self.other().pull_field()
    }
}

list! {
    /// What a hitter bats, as said in the trade.
    Bats {
        /// Bats left.
        Left = "left", "Bats left";
        /// Bats right.
        Right = "right", "Bats right";
        /// Bats from both sides; results are kept per side.
        Both = "both", "Bats both";
    }
}

impl Bats {
    /// The sides this hitter bats from, in the order screens show them.
    pub const fn sides(self) -> &'static [Side] {
        match self {
            Self::Left => &[Side::Left],
            Self::Right => &[Side::Right],
            Self::Both => &[Side::Left, Side::Right],
        }
    }

    /// The side to offer first against a pitcher: the only one, or for a hitter
    /// who bats both the one across from the pitcher's hand. The coach may
    /// choose another (common practice, no source).
    pub const fn usual_side(self, pitcher: Hand) -> Side {
        match (self, pitcher) {
            (Self::Left, _) | (Self::Both, Hand::Right) => Side::Left,
            (Self::Right, _) | (Self::Both, Hand::Left) => Side::Right,
        }
    }
}

list! {
    /// The pitcher's throwing hand, or the side a feed comes from as the pitcher
    /// would throw it. A tee or a feed from straight ahead has none: such a
    /// record holds no `Hand`.
    Hand {
        /// The pitcher throws left, or the feed comes from there.
        Left = "left", "Left";
        /// The pitcher throws right, or the feed comes from there.
        Right = "right", "Right";
    }
}

impl Hand {
    /// Who throws with it, in the words of the trade.
    pub const fn thrower(self) -> &'static str {
        match self {
            Self::Left => "Left-hander",
            Self::Right => "Right-hander",
        }
    }

    /// Whose ball it is in an environment, to stand within a sentence: a pitcher's own,
    /// or one that comes as if it were. "Left" and "right" alone would be read from the
    /// plate by one and from the mound by another.
    pub fn from_whom(self, environment: Environment) -> String {
        let is_pitched = matches!(environment, Environment::Live | Environment::Game);
        let from = if is_pitched { "from a" } else { "as from a" };
        format!("{from} {}", self.thrower().to_ascii_lowercase())
    }
}

list! {
    /// The answer to one item of the swing check.
    Answer {
        /// Seen, and good.
        Yes = "yes", "Yes";
        /// Seen, and not good yet.
        NotYet = "not-yet", "Not yet";
        /// Could not be seen. Never counted as good.
        NotSeen = "not-seen", "Not seen";
    }
}
