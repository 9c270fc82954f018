//! Two records of one hitter joined by an alias: the coach's act, which can be
//! taken back. Only who is the same; no records are changed or merged here.

/// One act of joining.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Join<T> {
    /// One record.
    pub one: T,
    /// The other record of the same hitter.
    pub other: T,
    /// Whether the coach took it back. The act is kept, so that taking it back
    /// on one phone and reading it on another agree.
    pub undone: bool,
}

/// Who is the same hitter, by all joins together. The order of the joins does
/// not matter, and neither do joins that come twice or that say nothing new:
/// taking one back leaves two records together that another join still holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joined<T> {
    /// Every record that is joined with another, and its first, sorted.
    firsts: Vec<(T, T)>,
}

impl<T: Copy + Ord> Joined<T> {
    /// Union of all joins that are not taken back.
    pub fn of(joins: &[Join<T>]) -> Self {
        let standing = || joins.iter().filter(|join| !join.undone);
        // Kept sorted one by one: a sort of its own for each kind of id would
        // weigh more in the client than the few joins there are.
        let mut ids: Vec<T> = Vec::new();
        for id in standing().flat_map(|join| [join.one, join.other]) {
            if let Err(place) = ids.binary_search(&id) {
                ids.insert(place, id);
            }
        }
        // Places, sorted by id: a smaller place is a smaller id.
        let mut parents: Vec<usize> = (0..ids.len()).collect();
        for join in standing() {
            let place = |id: T| ids.binary_search(&id).unwrap_or_default();
            let one = root(&mut parents, place(join.one));
            let other = root(&mut parents, place(join.other));
            parents[one.max(other)] = one.min(other);
        }
        let firsts = (0..ids.len())
            .map(|place| (ids[place], ids[root(&mut parents, place)]))
            .collect();
        Self { firsts }
    }

    /// The record that stands for a hitter: the smallest id among those joined,
    /// which is the oldest when ids begin with the time. A record that is
    /// joined with none stands for itself.
    pub fn first(&self, id: T) -> T {
        match self.firsts.binary_search_by_key(&id, |entry| entry.0) {
            Ok(place) => self.firsts[place].1,
            Err(_) => id,
        }
    }

    /// Whether two records are of one hitter.
    pub fn is_same(&self, one: T, other: T) -> bool {
        self.first(one) == self.first(other)
    }

    /// All records of the hitter of this record, sorted, this one among them.
    pub fn records_of(&self, id: T) -> Vec<T> {
        let first = self.first(id);
        let joined = self.firsts.iter().filter(|entry| entry.1 == first);
        let records: Vec<T> = joined.map(|entry| entry.0).collect();
        if records.is_empty() {
            vec![id]
        } else {
            records
        }
    }
}

/// The place that stands for a place, shortening the way for the next time.
fn root(parents: &mut [usize], mut place: usize) -> usize {
    while parents[place] != place {
        parents[place] = parents[parents[place]];
        place = parents[place];
    }
    place
}
