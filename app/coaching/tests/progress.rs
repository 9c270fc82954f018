//! What changed between looks, and how many are missing, against the plain way.

use coaching::check::Skill;
use coaching::checklist::CheckList;
use coaching::looks::{Evidence, ItemState, Look, Looks};
use coaching::progress::{Turn, changes, looks_missing, most_missing};
use coaching::vocabulary::Answer;

/// The evidence on the first item of the swing after these answers, a look each.
fn evidence_after(answers: &[Option<Answer>]) -> Evidence {
    let list = CheckList::built_in(Skill::Swing);
    let id = list.items[0].id;
    let looks: Vec<Vec<(&str, Answer)>> = answers
        .iter()
        .map(|answer| answer.iter().map(|answer| (id, *answer)).collect())
        .collect();
    let looks: Vec<Look> = looks.iter().map(Vec::as_slice).collect();
    Looks::of(&list, &looks).evidence.swap_remove(0)
}

/// Every sequence of up to `longest` looks, each with an answer or without.
fn sequences(longest: usize) -> Vec<Vec<Option<Answer>>> {
    let mut all = vec![Vec::new()];
    let mut last = all.clone();
    for _ in 0..longest {
        let mut next = Vec::new();
        for known in &last {
            let answers = Answer::ALL.iter().copied().map(Some);
            for answer in answers.chain([None]) {
                let mut longer: Vec<Option<Answer>> = known.clone();
                longer.push(answer);
                next.push(longer);
            }
        }
        all.extend(next.iter().cloned());
        last = next;
    }
    all
}

fn is_settled(evidence: &Evidence) -> bool {
    matches!(evidence.state, ItemState::Good | ItemState::RepeatedNotYet)
}

#[test]
fn as_many_looks_are_missing_as_it_takes_to_settle_the_item() {
    for answers in sequences(5) {
        let evidence = evidence_after(&answers);
        let fewest = (0..=3)
            .find(|more| {
                [Answer::Yes, Answer::NotYet].iter().any(|same| {
                    let mut longer = answers.clone();
                    longer.extend(std::iter::repeat_n(Some(*same), *more));
                    is_settled(&evidence_after(&longer))
                })
            })
            .expect("three equal answers always settle an item");
        assert_eq!(looks_missing(&evidence), fewest, "{answers:?}");
    }
}

#[test]
fn the_earliest_answer_that_was_seen_is_held_against_the_latest() {
    for answers in sequences(5) {
        let evidence = evidence_after(&answers);
        let seen: Vec<(usize, Answer)> = answers
            .iter()
            .enumerate()
            .filter_map(|(look, answer)| Some((look, (*answer)?)))
            .filter(|(_, answer)| *answer != Answer::NotSeen)
            .collect();
        let found = changes(&[evidence]);
        if seen.len() < 2 {
            assert!(found.is_empty(), "{answers:?}");
            continue;
        }
        let (first, last) = (seen[0], seen[seen.len() - 1]);
        let wanted = match (first.1, last.1) {
            (Answer::NotYet, Answer::Yes) => Turn::Better,
            (Answer::Yes, Answer::NotYet) => Turn::Back,
            (Answer::Yes, Answer::Yes) => Turn::StillYes,
            _ => Turn::StillNotYet,
        };
        assert_eq!(found.len(), 1, "{answers:?}");
        assert_eq!(found[0].turn, wanted, "{answers:?}");
        assert_eq!((found[0].earliest, found[0].latest), (first.0, last.0));
    }
}

#[test]
fn of_several_items_the_one_that_takes_most_looks_counts() {
    let once = evidence_after(&[Some(Answer::Yes)]);
    let never = evidence_after(&[]);
    let good = evidence_after(&[Some(Answer::Yes), Some(Answer::Yes)]);
    let all = [good, once, never];
    assert_eq!(most_missing(&all, &[0]), 0);
    assert_eq!(most_missing(&all, &[0, 1]), 1);
    assert_eq!(most_missing(&all, &[0, 1, 2]), 2);
    assert_eq!(most_missing(&all, &[]), 0);
}
