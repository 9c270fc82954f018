//! Several looks together: the order rule over every combination of phase
//! states, what "repeated" means, and what "not seen" may never do.

use coaching::check::{BEFORE, ITEMS, Phase, Skill};
use coaching::checklist::CheckList;
use coaching::looks::{Finding, ItemState, Looks};
use coaching::screening::PhaseState;
use coaching::vocabulary::Answer::{self, NotSeen, NotYet, Yes};
use proptest::prelude::*;

type Sheet = Vec<(&'static str, Answer)>;

/// All items and questions in one look.
fn all(answer: Answer) -> Sheet {
    let questions = BEFORE.iter().map(|question| (question.id, Yes));
    questions
        .chain(ITEMS.iter().map(|item| (item.id, answer)))
        .collect()
}

fn list() -> CheckList<'static> {
    CheckList::built_in(Skill::Swing)
}

fn looked(sheets: &[Sheet]) -> Looks {
    let looks: Vec<&[(&str, Answer)]> = sheets.iter().map(Vec::as_slice).collect();
    Looks::of(&list(), &looks)
}

/// Every sequence of answers to one item over up to so many looks, with none.
fn sequences(longest: u32) -> Vec<Vec<Option<Answer>>> {
    let answers = [None, Some(Yes), Some(NotYet), Some(NotSeen)];
    let mut all = Vec::new();
    for looks in 0..=longest {
        for number in 0..4_usize.pow(looks) {
            let at = |place| answers[number / 4_usize.pow(place) % 4];
            all.push((0..looks).map(at).collect());
        }
    }
    all
}

/// One look for each answer of a sequence to this item alone.
fn one_item(id: &'static str, sequence: &[Option<Answer>]) -> Vec<Sheet> {
    let look = |answer: &Option<Answer>| answer.map(|answer| (id, answer)).into_iter().collect();
    sequence.iter().map(look).collect()
}

#[test]
fn two_of_the_last_three_answers_settle_an_item_in_every_sequence_of_five_looks() {
    for sequence in sequences(5) {
        let looks = looked(&one_item("launch-head", &sequence));
        let place = ITEMS
            .iter()
            .position(|item| item.id == "launch-head")
            .unwrap();
        let evidence = &looks.evidence[place];
        let given: Vec<Answer> = sequence.iter().copied().flatten().collect();
        let last: Vec<Answer> = given.iter().rev().take(3).copied().collect();
        let count = |wanted| last.iter().filter(|answer| **answer == wanted).count();
        let expected = match (count(Yes), count(NotYet)) {
            (2.., _) => ItemState::Good,
            (_, 2..) => ItemState::RepeatedNotYet,
            (_, 1) => ItemState::NotYetOnce,
            (1, 0) => ItemState::GoodOnce,
            _ => ItemState::NotSeen,
        };
        assert_eq!(evidence.state, expected, "{sequence:?}");
        for (wanted, places) in [
            (Yes, &evidence.yes),
            (NotYet, &evidence.not_yet),
            (NotSeen, &evidence.not_seen),
        ] {
            let at: Vec<usize> = (0..sequence.len())
                .filter(|place| sequence[*place] == Some(wanted))
                .collect();
            assert_eq!(*places, at, "{wanted:?} in {sequence:?}");
        }
    }
}

#[test]
fn not_seen_never_makes_an_item_better_in_any_sequence_of_four_looks() {
    let goodness = |sequence: &[Option<Answer>]| {
        let place = ITEMS
            .iter()
            .position(|item| item.id == "load-control")
            .unwrap();
        looked(&one_item("load-control", sequence)).evidence[place].state == ItemState::Good
    };
    for sequence in sequences(4) {
        let before = goodness(&sequence);
        for place in 0..=sequence.len() {
            let mut more = sequence.clone();
            more.insert(place, Some(NotSeen));
            assert!(
                !goodness(&more) || before,
                "{sequence:?} became good by {more:?}"
            );
            if place < sequence.len() {
                let mut instead = sequence.clone();
                instead[place] = Some(NotSeen);
                assert!(
                    !goodness(&instead) || before,
                    "{sequence:?} became good by {instead:?}"
                );
            }
        }
    }
}

/// Ways over three looks to come to each state of a phase: N needs work, C
/// clear, ? cannot tell. Each gives the answers of its items in each look.
fn ways(state: char, items: usize) -> Vec<Vec<Vec<Option<Answer>>>> {
    let but_one = |most: [Option<Answer>; 3], one: [Option<Answer>; 3]| {
        (0..3)
            .map(|look| {
                let mut answers = vec![most[look]; items];
                answers[items / 2] = one[look];
                answers
            })
            .collect::<Vec<_>>()
    };
    let (y, n, s) = (Some(Yes), Some(NotYet), Some(NotSeen));
    match state {
        'N' => vec![
            but_one([n, n, n], [n, n, n]),
            but_one([y, y, y], [n, y, n]),
            but_one([s, s, s], [n, None, n]),
            but_one([None, None, y], [n, n, s]),
        ],
        'C' => vec![
            but_one([y, y, y], [y, y, y]),
            but_one([None, y, y], [y, n, y]),
        ],
        '?' => vec![
            but_one([None; 3], [None; 3]),
            but_one([s, s, s], [s, s, s]),
            but_one([y, y, y], [y, s, s]),
            but_one([y, y, y], [None, None, y]),
            but_one([y, y, y], [None, y, n]),
            but_one([y, y, y], [n, s, y]),
        ],
        other => panic!("no state {other}"),
    }
}

/// The order rule as a table: the states of the four phases (a dot is any, a
/// dash is C or ?), and the finding, with the questions before all "yes".
const RULE: &[(&str, &str)] = &[
    ("N...", "work on launch-position"),
    ("?N..", "cannot tell launch-position, load waits"),
    ("?-N.", "cannot tell launch-position, full-swing waits"),
    ("?--N", "cannot tell launch-position, approach waits"),
    ("?---", "cannot tell launch-position"),
    ("CN..", "work on load"),
    ("C?N.", "cannot tell load, full-swing waits"),
    ("C?-N", "cannot tell load, approach waits"),
    ("C?--", "cannot tell load"),
    ("CCN.", "work on full-swing"),
    ("CC?N", "cannot tell full-swing, approach waits"),
    ("CC?-", "cannot tell full-swing"),
    ("CCCN", "approach: not yet"),
    ("CCC?", "approach: look"),
    ("CCCC", "all clear"),
];

fn by_the_table(states: [char; 4]) -> &'static str {
    let fits = |pattern: &str| {
        let mut both = pattern.chars().zip(states);
        both.all(|(wanted, state)| match wanted {
            '.' => true,
            '-' => state != 'N',
            wanted => wanted == state,
        })
    };
    let rows: Vec<_> = RULE.iter().filter(|(pattern, _)| fits(pattern)).collect();
    assert_eq!(rows.len(), 1, "rows for {states:?}");
    rows[0].1
}

fn told(finding: &Finding) -> String {
    match finding {
        Finding::StopAndRefer { question } => format!("stop for {}", question.id),
        Finding::WorkOn { phase, .. } => format!("work on {}", phase.id()),
        Finding::CannotTellYet { phase, waiting, .. } => match waiting {
            Some(later) => format!("cannot tell {}, {} waits", phase.id(), later.id()),
            None => format!("cannot tell {}", phase.id()),
        },
        Finding::SettleFirst { .. } => "settle first".to_owned(),
        Finding::LookAtApproach { not_yet, .. } if !not_yet.is_empty() => {
            "approach: not yet".to_owned()
        }
        Finding::LookAtApproach { .. } => "approach: look".to_owned(),
        Finding::AllClear => "all clear".to_owned(),
    }
}

/// Three looks for every combination of the ways to these states.
fn sheets(states: [char; 4]) -> Vec<Vec<Sheet>> {
    let before: Sheet = BEFORE.iter().map(|question| (question.id, Yes)).collect();
    let mut all = vec![vec![before; 3]];
    for (phase, state) in Phase::ALL.iter().zip(states) {
        let ways = ways(state, phase.items().count());
        all = all
            .into_iter()
            .flat_map(|looks| {
                ways.iter().map(move |way| {
                    let mut looks = looks.clone();
                    for (look, answers) in looks.iter_mut().zip(way) {
                        let given = phase.items().zip(answers);
                        look.extend(given.filter_map(|(item, answer)| Some((item.id, (*answer)?))));
                    }
                    looks
                })
            })
            .collect();
    }
    all
}

fn combinations() -> Vec<[char; 4]> {
    let states = ['N', 'C', '?'];
    (0..81)
        .map(|number| {
            [number / 27, number / 9 % 3, number / 3 % 3, number % 3].map(|at| states[at])
        })
        .collect()
}

#[test]
fn the_earliest_phase_that_is_not_clear_is_the_finding_in_all_81_combinations() {
    for states in combinations() {
        for sheets in sheets(states) {
            let looks = looked(&sheets);
            for (result, state) in looks.phases.iter().zip(states) {
                let wanted = match state {
                    'N' => PhaseState::NeedsWork,
                    'C' => PhaseState::Clear,
                    _ => PhaseState::CannotTell,
                };
                assert_eq!(*result, wanted, "{states:?} {sheets:?}");
            }
            assert_eq!(told(&looks.finding), by_the_table(states), "{sheets:?}");
            let sentence = looks.sentence(&list());
            let length = sentence.chars().count();
            assert!((20..=240).contains(&length), "{length}: {sentence:?}");
            for slip in ["  ", "..", ". .", ": .", ";."] {
                assert!(!sentence.contains(slip), "{slip:?} in {sentence:?}");
            }
        }
    }
}

#[test]
fn one_look_settles_nothing_and_says_what_to_look_at_again() {
    let mut first = all(Yes);
    let looks = looked(std::slice::from_ref(&first));
    assert_eq!(told(&looks.finding), "cannot tell launch-position");
    assert_eq!(
        looks.sentence(&list()),
        "We cannot tell yet. Look again at the launch position: Balanced between the feet; Could drive either way at once; and 4 more."
    );
    first.push(("launch-head", NotYet));
    let looks = looked(std::slice::from_ref(&first));
    assert_eq!(
        looks.sentence(&list()),
        "We cannot tell yet. Seen once as not yet in the launch position: Head still. Look again."
    );
    let titles: Vec<_> = looks
        .to_work_on()
        .iter()
        .map(|place| ITEMS[*place].id)
        .collect();
    assert_eq!(titles, ["launch-head"]);

    let looks = looked(&[first.clone(), first]);
    assert_eq!(
        looks.sentence(&list()),
        "Work on the launch position. Not yet, seen repeatedly: Head still."
    );
    let place = looks.to_work_on()[0];
    assert_eq!(
        looks.evidence[place].sentence(),
        "In 2 looks: 0 yes, 2 not yet, 0 not seen."
    );
    assert_eq!(looked(&[all(Yes), all(Yes)]).finding, Finding::AllClear);
    assert_eq!(
        looked(&[]).sentence(&list()),
        "We cannot tell yet. First look at the launch position: Balanced between the feet; Could drive either way at once; and 4 more."
    );
}

#[test]
fn an_item_that_came_good_no_longer_needs_work() {
    let with = |answer| {
        let mut sheet = all(Yes);
        sheet.push(("launch-head", answer));
        sheet
    };
    let mut sheets = vec![with(NotYet), with(NotYet)];
    assert_eq!(told(&looked(&sheets).finding), "work on launch-position");
    sheets.push(with(Yes));
    assert_eq!(told(&looked(&sheets).finding), "work on launch-position");
    sheets.push(with(Yes));
    assert_eq!(looked(&sheets).finding, Finding::AllClear);
}

#[test]
fn pain_stops_until_it_is_answered_yes_and_is_asked_anew_at_each_look() {
    let with = |answer: Option<Answer>| {
        let mut sheet = all(Yes);
        sheet.retain(|(id, _)| *id != "before-pain");
        sheet.extend(answer.map(|answer| ("before-pain", answer)));
        sheet
    };
    let mut changed = with(Some(NotYet));
    changed.push(("before-pain", NotSeen));
    let looks = looked(&[with(Some(Yes)), changed]);
    assert_eq!(
        told(&looks.finding),
        "stop for before-pain",
        "taken back without a yes"
    );
    for later in [None, Some(NotSeen), Some(NotYet)] {
        let looks = looked(&[with(Some(Yes)), with(Some(NotYet)), with(later)]);
        assert_eq!(told(&looks.finding), "stop for before-pain", "{later:?}");
    }
    let looks = looked(&[with(Some(NotYet)), with(Some(NotYet)), with(Some(Yes))]);
    assert_eq!(looks.finding, Finding::AllClear);
    for later in [None, Some(NotSeen)] {
        let looks = looked(&[with(Some(Yes)), with(Some(Yes)), with(later)]);
        assert_eq!(told(&looks.finding), "settle first", "{later:?}");
    }
}

#[test]
fn the_yes_of_an_earlier_look_holds_for_eyesight_and_bat_only() {
    for question in BEFORE {
        let mut later = all(Yes);
        later.retain(|(id, _)| *id != question.id);
        let looks = looked(&[all(Yes), all(Yes), later]);
        let holds = ["before-eyesight", "before-bat"].contains(&question.id);
        assert_eq!(looks.finding == Finding::AllClear, holds, "{}", question.id);
    }
}

fn any_answer() -> impl Strategy<Value = Option<Answer>> {
    prop::sample::select(
        &[
            None,
            Some(Yes),
            Some(Yes),
            Some(Yes),
            Some(NotYet),
            Some(NotSeen),
        ][..],
    )
}

/// Looks near to clear: all "yes" but for a few answers.
fn any_looks() -> impl Strategy<Value = Vec<Vec<Option<Answer>>>> {
    let places = BEFORE.len() + ITEMS.len();
    let few = prop::collection::vec((0..places, any_answer()), 0..4);
    let near_clear = few.prop_map(move |changes| {
        let mut answers = vec![Some(Yes); places];
        for (place, answer) in changes {
            answers[place] = answer;
        }
        answers
    });
    let any = prop::collection::vec(any_answer(), places);
    prop::collection::vec(prop_oneof![4 => near_clear, 1 => any], 0..5)
}

fn sheets_of(looks: &[Vec<Option<Answer>>]) -> Vec<Sheet> {
    let ids = || {
        BEFORE
            .iter()
            .map(|q| q.id)
            .chain(ITEMS.iter().map(|item| item.id))
    };
    let sheet = |answers: &Vec<Option<Answer>>| {
        ids()
            .zip(answers)
            .filter_map(|(id, answer)| Some((id, (*answer)?)))
            .collect()
    };
    looks.iter().map(sheet).collect()
}

/// How far a finding goes toward calling the hitter's swing and choice good.
fn says_clear(finding: &Finding) -> u8 {
    match finding {
        Finding::AllClear => 2,
        Finding::LookAtApproach { .. } => 1,
        _ => 0,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn a_not_seen_never_makes_anything_clear_in_whichever_look_it_comes(
        looks in any_looks(),
        added in prop::collection::vec((0..6_usize, 0..BEFORE.len() + ITEMS.len()), 1..5),
        new_look in 0..6_usize,
    ) {
        let before = looked(&sheets_of(&looks));
        let mut more = looks.clone();
        // A whole look more, in which nothing was asked yet, at any place.
        more.insert(new_look.min(more.len()), vec![None; BEFORE.len() + ITEMS.len()]);
        let last = more.len() - 1;
        for (look, place) in added {
            more[look.min(last)][place] = Some(NotSeen);
        }
        let after = looked(&sheets_of(&more));
        for (was, is) in before.phases.iter().zip(&after.phases) {
            prop_assert!(*is != PhaseState::Clear || *was == PhaseState::Clear);
        }
        prop_assert!(
            says_clear(&after.finding) <= says_clear(&before.finding),
            "{:?} became {:?}", before.finding, after.finding
        );
        prop_assert!(after.finding != Finding::AllClear || before.finding == Finding::AllClear);
    }

    #[test]
    fn the_order_of_tapping_within_a_look_does_not_matter(looks in any_looks(), turn in 0..23_usize) {
        let sheets = sheets_of(&looks);
        let turned: Vec<Sheet> = sheets.iter().map(|sheet| {
            let mut sheet = sheet.clone();
            let by = turn.min(sheet.len());
            sheet.rotate_left(by);
            sheet
        }).collect();
        prop_assert_eq!(looked(&turned), looked(&sheets));
    }
}

#[test]
fn with_phases_one_to_three_clear_the_trouble_is_called_likely() {
    let mut sheet = all(Yes);
    sheet.retain(|(id, _)| *id != "approach-chase");
    let twice = looked(&[sheet.clone(), sheet.clone()]);
    assert_eq!(
        twice.sentence(&list()),
        "The first three phases are clear: the trouble is likely approach or pitch selection. Look at: Chases seldom."
    );
    let once = Looks::of_one(&list(), &sheet);
    assert_eq!(once.sentence(&list()), twice.sentence(&list()));
}

proptest! {
    /// The one-look check of the first page is the outside rule here: both must
    /// find the same, whatever was answered.
    #[test]
    fn one_look_beside_the_built_in_list_says_what_the_screening_says(
        answers in proptest::collection::vec(0..4_usize, ITEMS.len() + BEFORE.len()),
    ) {
        use coaching::screening::{Finding as Said, Screening};
        let ids = BEFORE.iter().map(|question| question.id).chain(ITEMS.iter().map(|item| item.id));
        let sheet: Sheet = ids
            .zip(answers)
            .filter_map(|(id, given)| Some((id, *[Yes, NotYet, NotSeen].get(given)?)))
            .collect();
        let list = list();
        let one = Looks::of_one(&list, &sheet);
        let said = Screening::of(sheet.iter().copied());
        prop_assert_eq!(one.phases, said.phases.map(|phase| phase.state));
        let titles = |places: &[usize]| -> Vec<&str> {
            places.iter().map(|place| list.items[*place].title).collect()
        };
        let named = |items: &[&coaching::check::Item]| -> Vec<&str> {
            items.iter().map(|item| item.title).collect()
        };
        match (&one.finding, &said.finding) {
            (Finding::StopAndRefer { question: a }, Said::StopAndRefer { question: b }) => {
                prop_assert_eq!(a, b);
            }
            (Finding::WorkOn { phase: a, items: x }, Said::WorkOn { phase: b, items: y }) => {
                prop_assert_eq!(a, b);
                prop_assert_eq!(titles(x), named(y));
            }
            (
                Finding::CannotTellYet { phase: a, look_at: x, waiting: v, .. },
                Said::CannotTellYet { phase: b, look_at: y, waiting: w },
            ) => {
                prop_assert_eq!((a, v), (b, w));
                prop_assert_eq!(titles(x), named(y));
            }
            (Finding::SettleFirst { questions: a }, Said::SettleFirst { questions: b }) => {
                prop_assert_eq!(a, b);
            }
            (
                Finding::LookAtApproach { not_yet: a, look_at: x },
                Said::LookAtApproach { not_yet: b, look_at: y },
            ) => {
                prop_assert_eq!(titles(a), named(b));
                prop_assert_eq!(titles(x), named(y));
            }
            (Finding::AllClear, Said::AllClear) => {}
            (a, b) => prop_assert!(false, "{a:?} against {b:?}"),
        }
    }
}
