//! The order rule: over every combination of phase states, over every way to
//! come to a state, and what taking answers away may never do.

use coaching::check::{BEFORE, ITEMS, Item, Phase};
use coaching::screening::{Finding, PhaseState, Screening};
use coaching::vocabulary::Answer::{self, NotSeen, NotYet, Yes};
use proptest::prelude::*;

/// Every answer that can stand beside an item, with none at all.
const ANSWERS: [Option<Answer>; 4] = [None, Some(Yes), Some(NotYet), Some(NotSeen)];

/// A full sheet: an answer or none for each question and item, in their order.
#[derive(Debug, Clone, PartialEq)]
struct Sheet(Vec<(&'static str, Option<Answer>)>);

impl Sheet {
    fn all(answer: Option<Answer>) -> Self {
        let questions = BEFORE.iter().map(|question| question.id);
        let items = ITEMS.iter().map(|item| item.id);
        Self(questions.chain(items).map(|id| (id, answer)).collect())
    }

    fn with(mut self, id: &str, answer: Option<Answer>) -> Self {
        let place = self.0.iter().position(|(here, _)| *here == id);
        self.0[place.expect(id)].1 = answer;
        self
    }

    fn with_phase(self, phase: Phase, answers: &[Option<Answer>]) -> Self {
        assert_eq!(phase.items().count(), answers.len());
        phase
            .items()
            .zip(answers)
            .fold(self, |sheet, (item, answer)| sheet.with(item.id, *answer))
    }

    fn screened(&self) -> Screening {
        Screening::of(
            self.0
                .iter()
                .filter_map(|(id, answer)| Some((*id, (*answer)?))),
        )
    }
}

/// Ways to come to each state in a phase of so many items. N needs work,
/// C clear, ? cannot tell.
fn ways(state: char, items: usize) -> Vec<Vec<Option<Answer>>> {
    let but_one = |most, one| {
        let mut answers = vec![most; items];
        answers[items / 2] = one;
        answers
    };
    match state {
        'N' => vec![
            vec![Some(NotYet); items],
            but_one(Some(Yes), Some(NotYet)),
            but_one(Some(NotSeen), Some(NotYet)),
            but_one(None, Some(NotYet)),
        ],
        'C' => vec![vec![Some(Yes); items]],
        '?' => vec![
            vec![None; items],
            vec![Some(NotSeen); items],
            but_one(Some(Yes), Some(NotSeen)),
            but_one(Some(Yes), None),
            but_one(Some(NotSeen), Some(Yes)),
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

/// The finding of the one row of the table that fits these states.
fn by_the_table(states: &[char]) -> &'static str {
    let fits = |pattern: &str| {
        pattern
            .chars()
            .zip(states)
            .all(|(wanted, state)| match wanted {
                '.' => true,
                '-' => *state != 'N',
                wanted => wanted == *state,
            })
    };
    let rows: Vec<_> = RULE.iter().filter(|(pattern, _)| fits(pattern)).collect();
    assert_eq!(rows.len(), 1, "rows for {states:?}");
    rows[0].1
}

/// A finding in the words of the table.
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

/// Every combination of four phase states: 3 to the 4th.
fn combinations() -> Vec<[char; 4]> {
    let states = ['N', 'C', '?'];
    let mut all = Vec::new();
    for launch in states {
        for load in states {
            for full in states {
                for approach in states {
                    all.push([launch, load, full, approach]);
                }
            }
        }
    }
    all
}

/// Every sheet that comes to these states by one of the [`ways`].
fn sheets(states: &[char; 4], before: Option<Answer>) -> Vec<Sheet> {
    let mut all = vec![Sheet::all(before)];
    for (phase, state) in Phase::ALL.iter().zip(states) {
        let ways = ways(*state, phase.items().count());
        all = all
            .into_iter()
            .flat_map(|sheet| {
                ways.iter()
                    .map(move |answers| sheet.clone().with_phase(*phase, answers))
            })
            .collect();
    }
    all
}

/// Every filling of a number of places with [`ANSWERS`].
fn fillings(places: usize) -> impl Iterator<Item = Vec<Option<Answer>>> {
    (0..4_usize.pow(places as u32)).map(move |number| {
        (0..places as u32)
            .map(|place| ANSWERS[number / 4_usize.pow(place) % 4])
            .collect()
    })
}

#[test]
fn the_earliest_phase_that_is_not_clear_is_the_finding_in_all_81_combinations() {
    assert_eq!(combinations().len(), 81);
    for states in combinations() {
        let expected = by_the_table(&states);
        for sheet in sheets(&states, Some(Yes)) {
            let screening = sheet.screened();
            assert_eq!(told(&screening.finding), expected, "{states:?} {sheet:?}");
            for (result, state) in screening.phases.iter().zip(states) {
                let wanted = match state {
                    'N' => PhaseState::NeedsWork,
                    'C' => PhaseState::Clear,
                    _ => PhaseState::CannotTell,
                };
                assert_eq!(result.state, wanted, "{:?} {sheet:?}", result.phase);
            }
            let at = states.iter().position(|state| *state != 'C').unwrap_or(3);
            assert_eq!(screening.current_phase(), Phase::ALL[at]);
            // What lies beyond the first phase that is not clear is not judged.
            for (place, standing) in screening.standings().iter().enumerate() {
                let waits_for = (place > at).then_some(Phase::ALL[at]);
                assert_eq!(standing.waits_for, waits_for, "{states:?} {place}");
                let words = standing.words(Phase::name);
                let judged = PhaseState::Clear.words();
                assert!(place <= at || !words.contains(judged), "{words}");
            }
        }
    }
}

#[test]
fn the_questions_before_hold_back_what_they_must_in_all_81_combinations() {
    for states in combinations() {
        let sheet = sheets(&states, Some(Yes)).remove(0);
        for before in fillings(BEFORE.len()) {
            let answered = BEFORE
                .iter()
                .zip(&before)
                .fold(sheet.clone(), |sheet, (question, answer)| {
                    sheet.with(question.id, *answer)
                });
            let screening = answered.screened();
            let swing_clear = states[..3] == ['C', 'C', 'C'];
            let settled = before.iter().all(|answer| *answer == Some(Yes));
            let expected = if before[0] == Some(NotYet) {
                "stop for before-pain"
            } else if swing_clear && !settled {
                "settle first"
            } else {
                by_the_table(&states)
            };
            assert_eq!(told(&screening.finding), expected, "{states:?} {before:?}");
            if let Finding::SettleFirst { questions } = &screening.finding {
                let open = BEFORE.iter().zip(&before);
                let open = open.filter(|(_, answer)| **answer != Some(Yes));
                assert!(
                    questions
                        .iter()
                        .copied()
                        .eq(open.map(|(question, _)| question))
                );
            }
            let not_yet = BEFORE.iter().zip(&before);
            let not_yet = not_yet.filter(|(_, answer)| **answer == Some(NotYet));
            assert!(
                screening
                    .before_not_yet
                    .iter()
                    .copied()
                    .eq(not_yet.map(|(question, _)| question))
            );
            let next = before.iter().position(Option::is_none);
            assert_eq!(screening.next_question(), next.map(|place| &BEFORE[place]));
        }
    }
}

#[test]
fn a_phase_is_clear_only_when_every_item_was_seen_and_is_good() {
    for phase in Phase::ALL {
        for answers in fillings(phase.items().count()) {
            let screening = Sheet::all(None).with_phase(*phase, &answers).screened();
            let result = screening.phase(*phase);
            let count = |wanted| answers.iter().filter(|answer| **answer == wanted).count();
            assert_eq!(result.phase, *phase);
            assert_eq!(result.yes, count(Some(Yes)));
            assert_eq!(result.not_yet, count(Some(NotYet)));
            assert_eq!(result.not_seen, count(Some(NotSeen)));
            assert_eq!(result.not_answered, count(None));
            assert_eq!(result.items(), answers.len());
            assert_eq!(result.answered(), answers.len() - count(None));
            let state = if answers.contains(&Some(NotYet)) {
                PhaseState::NeedsWork
            } else if answers.iter().all(|answer| *answer == Some(Yes)) {
                PhaseState::Clear
            } else {
                PhaseState::CannotTell
            };
            assert_eq!(result.state, state, "{answers:?}");
        }
    }
}

#[test]
fn a_finding_names_just_the_items_it_rests_on() {
    fn ids(items: &[&Item]) -> Vec<&'static str> {
        items.iter().map(|item| item.id).collect()
    }
    let sheet = Sheet::all(Some(Yes))
        .with("load-back-hip", Some(NotYet))
        .with("load-front-hip", Some(NotSeen))
        .with("load-control", Some(NotYet));
    let Finding::WorkOn { items, .. } = sheet.screened().finding else {
        panic!("{sheet:?}");
    };
    assert_eq!(ids(&items), ["load-back-hip", "load-control"]);

    let sheet = Sheet::all(Some(Yes))
        .with("launch-head", Some(NotSeen))
        .with("launch-tilt", None)
        .with("load-control", Some(NotYet));
    let Finding::CannotTellYet { look_at, .. } = sheet.screened().finding else {
        panic!("{sheet:?}");
    };
    assert_eq!(ids(&look_at), ["launch-head", "launch-tilt"]);

    let sheet = Sheet::all(Some(Yes))
        .with("approach-plan", None)
        .with("approach-zone", Some(NotSeen))
        .with("approach-chase", Some(NotYet));
    let Finding::LookAtApproach { not_yet, look_at } = sheet.screened().finding else {
        panic!("{sheet:?}");
    };
    assert_eq!(ids(&not_yet), ["approach-chase"]);
    assert_eq!(ids(&look_at), ["approach-plan", "approach-zone"]);
}

#[test]
fn an_empty_check_starts_with_the_questions_and_the_launch_position() {
    let screening = Screening::of([]);
    assert_eq!(told(&screening.finding), "cannot tell launch-position");
    assert_eq!(screening.current_phase(), Phase::LaunchPosition);
    assert_eq!(screening.next_question(), Some(&BEFORE[0]));
    assert_eq!(screening.next_item(), Some(&ITEMS[0]));
    assert_eq!(screening.not_known, 0);
}

#[test]
fn the_next_item_is_the_first_without_an_answer() {
    // "Not seen" is an answer: the check goes on and does not ask again.
    for answer in [Yes, NotYet, NotSeen] {
        let mut sheet = Sheet::all(None);
        for item in ITEMS {
            assert_eq!(sheet.screened().next_item(), Some(item));
            sheet = sheet.with(item.id, Some(answer));
        }
        assert_eq!(sheet.screened().next_item(), None);
    }
}

#[test]
fn an_answer_to_an_item_of_a_newer_version_counts_for_nothing_and_is_told() {
    let mut answers: Vec<_> = Sheet::all(Some(Yes)).0;
    answers.push(("from-a-newer-version", Some(NotYet)));
    let screening = Sheet(answers).screened();
    assert_eq!(screening.finding, Finding::AllClear);
    assert_eq!(screening.not_known, 1);
}

#[test]
fn of_two_answers_to_one_item_the_later_counts() {
    let answers = [("launch-head", Yes), ("launch-head", NotYet)];
    assert_eq!(
        told(&Screening::of(answers).finding),
        "work on launch-position"
    );
    let answers = [("launch-head", NotYet), ("launch-head", NotSeen)];
    assert_eq!(
        told(&Screening::of(answers).finding),
        "cannot tell launch-position"
    );
}

#[test]
fn every_finding_is_told_in_plain_sentences_that_fit_a_phone() {
    let mut findings: Vec<Finding> = Vec::new();
    for states in combinations() {
        for before in [Some(Yes), None, Some(NotYet)] {
            for sheet in sheets(&states, before) {
                findings.push(sheet.screened().finding);
            }
        }
    }
    for finding in findings {
        let sentence = finding.sentence();
        let length = sentence.chars().count();
        assert!((20..=220).contains(&length), "{length}: {sentence:?}");
        assert!(sentence.ends_with('.'), "{sentence:?}");
        for slip in ["  ", "..", ". .", ": .", ";."] {
            assert!(!sentence.contains(slip), "{slip:?} in {sentence:?}");
        }
        let short = finding.short();
        assert!((1..=40).contains(&short.chars().count()), "{short:?}");
        assert!(!short.ends_with('.'), "{short:?}");
    }
}

#[test]
fn the_sentences_read_as_meant() {
    let sentence = |sheet: Sheet| sheet.screened().finding.sentence();
    let yes = || Sheet::all(Some(Yes));
    assert_eq!(
        sentence(Sheet::all(None)),
        "We cannot tell yet. First look at the launch position: Balanced between the feet; Could drive either way at once; and 4 more."
    );
    assert_eq!(
        sentence(
            yes()
                .with("launch-head", Some(NotSeen))
                .with("load-control", Some(NotYet))
        ),
        "We cannot tell yet. Still look at the launch position: Head still. What shows in the load and forward move waits until then."
    );
    assert_eq!(
        sentence(yes().with("launch-head", Some(NotYet))),
        "Work on the launch position. Not yet: Head still."
    );
    assert_eq!(
        sentence(yes().with_phase(
            Phase::Load,
            &[Some(NotYet), Some(NotYet), Some(NotYet), None, None]
        )),
        "Work on the load and forward move. Not yet: Weight goes into the back hip; Pressure stays inside the back foot; and one more."
    );
    assert_eq!(
        sentence(
            yes()
                .with("before-eyesight", None)
                .with("approach-chase", Some(NotYet))
        ),
        "The swing is clear. Before the approach is judged, settle: Eyesight tested."
    );
    assert_eq!(
        sentence(
            yes()
                .with("approach-chase", Some(NotYet))
                .with("approach-plan", None)
        ),
        "The swing is clear: the trouble is likely approach or pitch selection. Not yet: Chases seldom."
    );
    assert_eq!(
        sentence(yes().with("approach-plan", None)),
        "The swing is clear: the trouble is likely approach or pitch selection. Look at: Has a plan for count and pitcher."
    );
    assert_eq!(
        sentence(yes()),
        "Everything was seen and is good, the approach too."
    );
    assert_eq!(
        sentence(yes().with("before-pain", Some(NotYet))),
        BEFORE[0].if_not
    );
}

/// A sheet near to clear: all "yes" but for a few, where the danger is.
fn near_clear() -> impl Strategy<Value = Sheet> {
    let places = BEFORE.len() + ITEMS.len();
    let few = prop::collection::vec((0..places, prop::sample::select(&ANSWERS[..])), 0..4);
    few.prop_map(|changes| {
        let mut sheet = Sheet::all(Some(Yes));
        for (place, answer) in changes {
            sheet.0[place].1 = answer;
        }
        sheet
    })
}

/// Any sheet at all.
fn any_sheet() -> impl Strategy<Value = Sheet> {
    let places = BEFORE.len() + ITEMS.len();
    prop::collection::vec(prop::sample::select(&ANSWERS[..]), places).prop_map(|answers| {
        let mut sheet = Sheet::all(None);
        for (place, answer) in answers.into_iter().enumerate() {
            sheet.0[place].1 = answer;
        }
        sheet
    })
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
    fn taking_answers_away_or_not_seeing_never_makes_anything_clear(
        sheet in prop_oneof![near_clear(), any_sheet()],
        taken in prop::collection::vec((0..BEFORE.len() + ITEMS.len(), prop::bool::ANY), 1..6),
    ) {
        let mut less = sheet.clone();
        for (place, not_seen) in taken {
            less.0[place].1 = not_seen.then_some(NotSeen);
        }
        let (before, after) = (sheet.screened(), less.screened());
        for (was, is) in before.phases.iter().zip(&after.phases) {
            prop_assert!(
                is.state != PhaseState::Clear || was.state == PhaseState::Clear,
                "{:?} became clear", is.phase
            );
        }
        prop_assert!(
            says_clear(&after.finding) <= says_clear(&before.finding),
            "{:?} became {:?}", before.finding, after.finding
        );
        prop_assert!(after.finding != Finding::AllClear, "clear without having seen all");
    }

    #[test]
    fn a_later_look_that_saw_nothing_never_makes_anything_clear(
        sheet in prop_oneof![near_clear(), any_sheet()],
        place in 0..BEFORE.len() + ITEMS.len(),
    ) {
        let mut answers: Vec<_> = sheet.0.iter().filter_map(|(id, answer)| Some((*id, (*answer)?))).collect();
        answers.push((sheet.0[place].0, NotSeen));
        let after = Screening::of(answers);
        prop_assert!(says_clear(&after.finding) <= says_clear(&sheet.screened().finding));
        prop_assert!(after.finding != Finding::AllClear);
    }

    #[test]
    fn the_order_of_tapping_does_not_matter(
        (sheet, order) in any_sheet().prop_flat_map(|sheet| {
            let order = Just(sheet.0.clone()).prop_shuffle();
            (Just(sheet), order)
        }),
    ) {
        prop_assert_eq!(Sheet(order).screened(), sheet.screened());
    }
}
