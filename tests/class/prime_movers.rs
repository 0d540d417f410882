//! Compares the muscles of the catalogue with another source.
//!
//! Source: free-exercise-db, commit acd61f7, which its authors declare to be under the Unlicense. Only facts are taken:
//! the name, the prime mover and the helping muscles. Some of its labels are known to be wrong. A disagreement is
//! therefore listed here with its reason, and our catalogue is not changed.

use std::collections::BTreeMap;

use class::movement::Catalogue;
use class::movement::Muscle::{self, *};

/// Our id, their name, their prime mover, their helping muscles.
const THEIRS: &[(&str, &str, &[Muscle], &[Muscle])] = &[
    ("squat-goblet", "Goblet Squat", &[Quadriceps], &[Calves, Glutes, Hamstrings, Shoulders]),
    ("squat-dumbbell", "Dumbbell Squat", &[Quadriceps], &[Calves, Glutes, Hamstrings, LowerBack]),
    ("lunge-dumbbell", "Dumbbell Lunges", &[Quadriceps], &[Calves, Glutes, Hamstrings]),
    ("deadlift-romanian", "Romanian Deadlift", &[Hamstrings], &[Calves, Glutes, LowerBack]),
    ("deadlift-romanian", "Stiff-Legged Dumbbell Deadlift", &[Hamstrings], &[Glutes, LowerBack]),
    ("bell-clean", "Kettlebell Dead Clean", &[Hamstrings], &[Calves, Glutes, LowerBack, Quadriceps, Traps]),
    ("row-one-arm", "One-Arm Dumbbell Row", &[MiddleBack], &[Biceps, Lats, Shoulders]),
    ("row-bent-over", "Bent Over Two-Dumbbell Row", &[MiddleBack], &[Biceps, Lats, Shoulders]),
    ("floor-press", "Dumbbell Floor Press", &[Triceps], &[Chest, Shoulders]),
    ("fly-floor", "Dumbbell Flyes", &[Chest], &[]),
    ("press-seated", "Dumbbell Shoulder Press", &[Shoulders], &[Triceps]),
    ("press-dumbbell", "Standing Dumbbell Press", &[Shoulders], &[Triceps]),
    ("lateral-raise", "Side Lateral Raise", &[Shoulders], &[]),
    ("reverse-fly", "Reverse Flyes", &[Shoulders], &[]),
    ("curl-hammer", "Hammer Curls", &[Biceps], &[]),
    ("curl", "Dumbbell Bicep Curl", &[Biceps], &[Forearms]),
    ("triceps-kickback", "Tricep Dumbbell Kickback", &[Triceps], &[]),
    ("triceps-overhead", "Standing Dumbbell Triceps Extension", &[Triceps], &[]),
    ("triceps-lying", "Lying Dumbbell Tricep Extension", &[Triceps], &[Chest, Shoulders]),
    ("push-up", "Pushups", &[Chest], &[Shoulders, Triceps]),
    ("push-up-incline", "Incline Push-Up", &[Chest], &[Shoulders, Triceps]),
    ("push-up-close", "Push-Ups - Close Triceps Position", &[Triceps], &[Chest, Shoulders]),
    ("plank", "Plank", &[Abdominals], &[]),
    ("side-plank", "Side Bridge", &[Abdominals], &[Shoulders]),
    ("dead-bug", "Dead Bug", &[Abdominals], &[]),
    ("crunch", "Crunches", &[Abdominals], &[]),
    ("russian-twist", "Russian Twist", &[Abdominals], &[LowerBack]),
    ("mountain-climber", "Mountain Climbers", &[Quadriceps], &[Chest, Hamstrings, Shoulders]),
    ("glute-bridge", "Butt Lift (Bridge)", &[Glutes], &[Hamstrings]),
    ("bridge-single-leg", "Single Leg Glute Bridge", &[Glutes], &[Hamstrings]),
    ("high-pull-sumo", "Kettlebell Sumo High Pull", &[Traps], &[Adductors, Glutes, Hamstrings, Quadriceps, Shoulders]),
    ("swing-one-arm", "One-Arm Kettlebell Swings", &[Hamstrings], &[Calves, Glutes, LowerBack, Shoulders]),
    ("windmill", "Kettlebell Windmill", &[Abdominals], &[Glutes, Hamstrings, Shoulders, Triceps]),
    ("row-renegade", "Alternating Renegade Row", &[MiddleBack], &[Abdominals, Biceps, Chest, Lats, Triceps]),
    ("squat", "Bodyweight Squat", &[Quadriceps], &[Glutes, Hamstrings]),
    ("squat-jump", "Freehand Jump Squat", &[Quadriceps], &[Calves, Glutes, Hamstrings]),
    ("step-up-knee-drive", "Step-up with Knee Raise", &[Glutes], &[Hamstrings, Quadriceps]),
    ("step-up-loaded", "Dumbbell Step Ups", &[Quadriceps], &[Calves, Glutes, Hamstrings]),
    ("band-pull-apart", "Band Pull Apart", &[Shoulders], &[MiddleBack, Traps]),
    ("band-good-morning", "Band Good Morning", &[Hamstrings], &[Glutes, LowerBack]),
    ("calf-raise", "Standing Calf Raises", &[Calves], &[]),
    ("superman", "Superman", &[LowerBack], &[Glutes, Hamstrings]),
    ("box-dip", "Bench Dips", &[Triceps], &[Chest, Shoulders]),
    ("squat-press-out", "Squat with Plate Movers", &[Quadriceps], &[Abductors, Adductors, Calves, Glutes, Hamstrings]),
    ("farmer-carry", "Farmer's Walk", &[Forearms], &[Abdominals, Glutes, Hamstrings, LowerBack, Quadriceps, Traps]),
    ("bear-crawl", "Bear Crawl Sled Drags", &[Quadriceps], &[Calves, Glutes, Hamstrings]),
    ("inchworm", "Inchworm", &[Hamstrings], &[]),
    (
        "get-up",
        "Kettlebell Turkish Get-Up (Squat style)",
        &[Shoulders],
        &[Abdominals, Calves, Hamstrings, Quadriceps, Triceps],
    ),
    ("split-squat-loaded", "Split Squat with Dumbbells", &[Quadriceps], &[Glutes, Hamstrings]),
    ("kick-back-quadruped", "Rear Leg Raises", &[Quadriceps], &[]),
    ("jackknife", "Jackknife Sit-Up", &[Abdominals], &[]),
    ("reverse-crunch", "Reverse Crunch", &[Abdominals], &[]),
    ("sit-up", "Sit-Up", &[Abdominals], &[]),
    ("lateral-raise-band", "Lateral Raise - With Bands", &[Shoulders], &[]),
    ("squat-band", "Squats - With Bands", &[Quadriceps], &[Calves, Glutes, Hamstrings, LowerBack]),
    ("press-band", "Shoulder Press - With Bands", &[Shoulders], &[Triceps]),
    ("front-raise", "Front Dumbbell Raise", &[Shoulders], &[]),
    ("shrug", "Dumbbell Shrug", &[Traps], &[]),
    ("lunge-walking", "Bodyweight Walking Lunge", &[Quadriceps], &[Calves, Glutes, Hamstrings]),
    ("flutter-kick", "Flutter Kicks", &[Glutes], &[Hamstrings]),
    ("bicycle-crunch", "Air Bike", &[Abdominals], &[]),
];

/// The movements for which we disagree, and why we keep our muscles.
const DISAGREEMENTS: &[(&str, &str)] = &[
    ("side-plank", "their list has no word for the obliques and counts them as abdominals"),
    ("russian-twist", "their list has no word for the obliques and counts them as abdominals"),
    ("bicycle-crunch", "their list has no word for the obliques and counts them as abdominals"),
    ("windmill", "their list has no word for the obliques; the trunk bends sideways under the bell"),
    ("mountain-climber", "the plank is held and the knee is drawn up; the thighs hardly push"),
    ("bear-crawl", "theirs drags a sled; ours carries the body on hands and feet"),
    ("inchworm", "it stretches the hamstrings; the loaded muscles hold the plank and walk it out"),
    ("kick-back-quadruped", "a wrong label: the hip is extended with the knee bent"),
    ("flutter-kick", "theirs is done face down over a bench, ours on the back"),
];

/// The difference in words. Their prime mover must be one of ours, and all of ours must be in their lists. None when
/// there is no difference.
fn difference(ours: &[Muscle], prime: &[Muscle], helping: &[Muscle]) -> Option<String> {
    let missing: Vec<_> = prime.iter().filter(|muscle| !ours.contains(muscle)).collect();
    let extra: Vec<_> = ours.iter().filter(|muscle| !prime.contains(muscle) && !helping.contains(muscle)).collect();
    (!missing.is_empty() || !extra.is_empty()).then(|| format!("we lack {missing:?}, they lack {extra:?}"))
}

#[test]
fn prime_movers_agree_or_the_disagreement_is_listed() {
    assert!(THEIRS.len() >= 45);
    let reasons: BTreeMap<&str, &str> = DISAGREEMENTS.iter().copied().collect();
    assert_eq!(reasons.len(), DISAGREEMENTS.len());
    let mut wrong = Vec::new();
    for (id, name, prime, helping) in THEIRS {
        let movement = Catalogue::built_in().get(id).unwrap_or_else(|| panic!("no movement {id}"));
        match (difference(&movement.prime, prime, helping), reasons.get(id)) {
            (Some(difference), None) => wrong.push(format!("{id}, {name}: {difference}, and it is not listed")),
            (None, Some(_)) => wrong.push(format!("{id}, {name}: listed, but there is no difference")),
            _ => {}
        }
    }
    let strangers = reasons.keys().filter(|listed| !THEIRS.iter().any(|(id, ..)| id == *listed));
    wrong.extend(strangers.map(|id| format!("{id}: listed, but not in their table")));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
