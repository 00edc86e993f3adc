/** What the entries of a boat leave open, by code, as a person reads it. */
export const questionWords: Readonly<Record<string, string>> = {
  altered: "An entry was altered after it was written",
  corrections_differ: "Two corrections of one entry differ",
  correction_not_settled: "A correction stands alone: a second person has to say the same",
  counted_by_eye_only: "Seen in a count, not asked, after having been in the water",
  counts_differ: "Two counts differ, or both lack a name: count again, each alone",
  deck_accepted_by_two: "Two people took the deck",
  deck_holder_down: "Whoever held the deck went down",
  deck_holder_in_water: "Whoever holds the deck is in the water",
  departed_not_accounted_for: "The boat left while someone was not accounted for",
  dives_overlap: "Two dives of one diver overlap",
  down_again: "Down twice on the same dive",
  down_times_differ: "The times of going down differ: the earlier counts",
  ended_not_accounted_for: "The trip was said to be over while someone was not accounted for",
  forked: "Two entries of one phone claim the same place",
  last_seen_not_known: "When were they last together? The moment one came up counts until it is known",
  no_deck_holder: "A team went down while nobody held the deck",
  not_understood: "An entry cannot be read here",
  on_two_boats: "Named on two boats at about the same time: both count them until one names them again",
  other_trip: "An entry belongs to another trip",
  override_for_oneself: "Someone decided for themselves",
  run_time_not_known: "Nobody planned how long this dive takes: no time due is known",
  two_teams: "One diver went down with two teams",
  up_before_down: "Up before going down: a clock may be wrong",
  up_not_recorded: "Aboard without having been seen up",
  up_times_differ: "The times of coming up differ: the later counts",
  up_without_down: "Up without having gone down",
};

export function questionText(code: string): string {
  return questionWords[code] ?? code.replaceAll("_", " ");
}
