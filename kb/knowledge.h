// What the corpus knows for reading notes: materials, their names and looks, and the vocabulary, all
// compiled into one tree of phrases. Loaded from a database; no material or cue stands in code.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "kb/database.h"
#include "kb/lexicon.h"
#include "kb/phrases.h"

namespace kb {

// The families of phrases. The comment says what a tag's item and part are.
enum class Cue : std::uint8_t {
  name,          // material, 1 when heard-as
  shared,        // shared name
  decide,        // shared name, index of the id it speaks for
  seen,          // seen rule, group
  seen_for,      // seen rule
  seen_against,  // seen rule
  condition,     // condition
  not_state,     // holds a state's word and is none
  other_subject, // a part of a house that is no suspect material: a state said of it is said of nothing else
  first, second, // condition: two cues that together say it, apart in one sentence
  severity,      // 1 bad, 0 slight
  just_now, act, fresh_trace, rest, all,
  before, of_these, after, answer, removed, not_denial, not_seen, undoing, exception, possession,  // denial
  filler, terminator, carrier, link, join,
  looked_for, hearsay, own_look, remnant, modern,
  built, addition, installed, event,
  decade,        // first year, last year
  original, older_part, nothing_older,
  suspicion, doubt, scope, talk, no_suspicion,
  mineral, positive, negative, trace, lab_context, not_a_result,
  place, topic, unit, about,
  elsewhere,     // row of work.yaml
  remark,        // row of remarks.yaml
  count
};

inline Tag tag_of(Cue cue, int item = 0, int part = 0) {
  return {static_cast<std::uint16_t>(cue), static_cast<std::int16_t>(part), item};
}

// Each condition is one bit of a set, numbered in the order of conditions.yaml.
using ConditionSet = std::uint32_t;

struct Condition {
  std::string id;       // "damaged"
  std::string caution;  // Article whose report wording is used: "torn-or-broken".
  std::vector<std::string> systems;         // It holds for materials of these systems only; empty: all.
  std::vector<std::string> systems_beside;  // The same, when it is said in a neighboring sentence.
};

struct Material {
  std::string id;
  std::string title;
  int from = 0;         // First and last year of common use, as the article gives them.
  int to = 0;
  std::string friability;
  std::string unstated;                 // Advice when the note says nothing of the state.
  std::vector<std::string> look_also;
  std::vector<std::string> systems;
  std::string base;                     // Report wording.
  std::map<std::string, std::string, std::less<>> variants;  // By condition id, "where-else" among them.
};

struct SharedName {
  std::string name;
  std::vector<std::string> ids;
  std::string fallback;
};

struct SeenRule {
  int material = 0;
  int groups = 0;
  std::int32_t needs_for = 0;  // 0 or 1; no bool, for padding would be stored with it.
};

struct AdviceRow {
  std::string advice;
  std::string because;
  ConditionSet any = 0;
  ConditionSet all = 0;
  ConditionSet without = 0;
  std::vector<std::string> friability;
  std::vector<std::string> tested;
  std::vector<std::string> materials;
  std::string severity;
  std::string unstated;
  std::optional<bool> stated;
};

struct Elsewhere {
  std::vector<std::string> touches;
};

struct RemarkRule {
  std::string says;
  std::string text;
};

// A sentence of fixed words around at most two slots, from wording.yaml.
struct Wording {
  std::string caption;
  std::map<std::string, std::string, std::less<>> sentences;
  std::map<std::string, std::string, std::less<>> plain;                // The sentences for a homeowner.
  std::vector<std::string> order;              // Condition ids, the one that speaks first in front.
  std::map<std::string, std::string, std::less<>> labels;  // What an advice is called in a summary.
  std::map<std::string, std::string, std::less<>> tested;  // Result to caution article id.
  std::map<std::string, std::string, std::less<>> advice;               // What an advice adds.
  std::map<std::string, std::vector<std::string>, std::less<>> said_by; // Words that say it already.
  std::string standard_id;
  std::string unknown_id;
  int least = 0, most = 0, brief = 0;          // Words of a block.
};

struct Knowledge {
  std::unique_ptr<Lexicon> lexicon;
  PhraseTree tree;
  TextTable sounds;                            // Sound keys of names, and the list of each.
  Lists<Tag> by_sound;
  Lists<std::int32_t> sound_words;             // The words of the names of each list.
  std::vector<Material> materials;
  std::map<std::string, int, std::less<>> material_index;
  std::map<std::string, std::string, std::less<>> titles;      // Of every article.
  std::map<std::string, std::string, std::less<>> cautions;    // Report wording by article id.
  std::map<std::string, std::string, std::less<>> plain;       // "For the homeowner" of materials and cautions.
  std::vector<SharedName> shared;
  std::vector<SeenRule> rules;
  std::vector<Condition> conditions;
  std::map<std::string, int, std::less<>> condition_index;
  ConditionSet states = 0;                     // Those that say something of the state.
  std::vector<std::string> always_on_air_path, on_air_path_when_breaking, never_cleared;
  std::vector<std::string> advice_order;
  std::vector<AdviceRow> advice_rows;
  std::vector<Elsewhere> elsewhere;
  std::vector<RemarkRule> remark_rules;
  std::string place_missing, extent_missing, photo;
  Wording wording;
  std::string corpus_version;

  // The bit of a condition; 0 for an unknown id.
  ConditionSet bit(std::string_view condition_id) const;
  // Ids of a set, in vocabulary order.
  std::vector<std::string> ids_of(ConditionSet set) const;
  const Material* material(std::string_view id) const;

  // Everything as bytes for the database, and back.
  std::string freeze() const;
};

// Compiles the knowledge of `db` from its tables. Throws kb::Error when a vocabulary file is missing or
// misshapen. letbe-index does this once and stores the result; it takes some hundredths of a second.
Knowledge compile_knowledge(const Database& db);
WordRules compile_word_rules(const Database& db);

// What letbe-index stored in the database, ready in about a thousandth of a second. Throws kb::Error
// when it is missing or damaged. `db` must outlive the knowledge: it is asked for general words.
Knowledge load_knowledge(const Database& db);
// The word rules alone, for what only needs words.
WordRules load_word_rules(const Database& db);

}  // namespace kb
