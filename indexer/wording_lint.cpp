#include "indexer/wording_lint.h"

#include <algorithm>
#include <cctype>
#include <utility>

#include "indexer/front_matter.h"
#include "kb/drawing.h"

namespace indexer {
namespace {

// A host or a mailbox without the "www." or "://" that other rules look for: "lab.com", "a@b".
bool like_an_address(std::string_view text) {
  for (const std::string_view end : {".com", ".org", ".net", ".gov", ".edu", ".info"}) {
    const std::size_t at = text.find(end);
    if (at == std::string_view::npos || at == 0) continue;
    const std::size_t after = at + end.size();
    const bool closed = after == text.size() || !std::isalnum(static_cast<unsigned char>(text[after]));
    if (closed && std::isalnum(static_cast<unsigned char>(text[at - 1]))) return true;
  }
  const std::size_t sign = text.find('@');
  return sign != std::string_view::npos && sign > 0 && sign + 1 < text.size() &&
         std::isalnum(static_cast<unsigned char>(text[sign - 1])) && std::isalnum(static_cast<unsigned char>(text[sign + 1]));
}

bool clause_mark(const Piece& piece) {
  return !piece.word && (piece.folded == "," || piece.folded == ";" || piece.folded == ":" || piece.folded == "(" ||
                         piece.folded == ")");
}

// The lists of the house style, as the index numbers them.
enum List : unsigned {
  kComfort,
  kComfortAlways,
  kCertainty,
  kCertaintyUnless,
  kCertaintyUnlessNext,
  kObjects,
  kNotNext,
  kFinite,
  kSubjects,
  kModals,
  kPassives,
  kNeeds,
  kUrging,
  kForbidding,
  kForbiddingEnds,
  kSupposing,
  kReportNever,
  kPrices,
  kHonorifics,
  kVerbs,  // Every form of the instructions.
};

bool one_of(List list, const Sentence& sentence, std::size_t at) { return longest_at(sentence, at, list) > 0; }

// The first word of the clause that holds `at`.
std::size_t clause_begin(const Sentence& sentence, std::size_t at) {
  while (at > 0 && !clause_mark(sentence[at - 1])) --at;
  return at;
}

bool upper(char c) { return c >= 'A' && c <= 'Z'; }

}  // namespace

WordingLint::WordingLint(const HouseStyle& style, Problems& problems)
    : style_(style), problems_(problems), used_(style.exceptions.size(), false) {
  const std::pair<List, const std::vector<PhraseWords>*> lists[] = {
      {kComfort, &style.comfort},
      {kComfortAlways, &style.comfort_always},
      {kCertainty, &style.certainty},
      {kCertaintyUnless, &style.certainty_unless},
      {kCertaintyUnlessNext, &style.certainty_unless_next},
      {kObjects, &style.objects},
      {kNotNext, &style.not_next},
      {kFinite, &style.finite},
      {kSubjects, &style.subjects},
      {kModals, &style.modals},
      {kPassives, &style.passives},
      {kNeeds, &style.needs},
      {kUrging, &style.urging},
      {kForbidding, &style.forbidding},
      {kForbiddingEnds, &style.forbidding_ends},
      {kSupposing, &style.supposing},
      {kReportNever, &style.report_never},
      {kPrices, &style.prices},
      {kHonorifics, &style.honorifics},
  };
  for (const auto& [list, phrases] : lists) phrases_.add(list, *phrases);
  for (const Instruction& verb : style.instructions)
    phrases_.add(kVerbs, {{verb.bare}, {verb.gerund}, {verb.participle}});
}

void WordingLint::run(const Page& page) {
  if (!style_.present) return;
  article_ = page.id;
  seen_.insert(page.id);
  if (const Value* title = page.front.find("title")) check({title->text, title->place, false, false, true});
  if (const Value* years = page.front.find("years"))
    if (const Value* soft = years->find("soft-end")) check({soft->text, soft->place, false, false, true});
  if (const Value* sources = page.front.find("sources"))
    for (const Value& source : sources->items)
      if (const Value* note = source.find("note")) check({note->text, note->place, false, false, true});
  if (const auto told = kb::text_of_drawing(page.drawing))
    for (const std::string* text : {&told->title, &told->desc}) check({*text, page.drawing_place, false, false, true});
  bool forbids = false;
  bool report = false;
  for (const Section& section : page.sections) {
    if (section.level == 2) {
      report = section.heading == kReportWording;
      forbids = std::find(style_.forbidding_sections.begin(), style_.forbidding_sections.end(),
                          section.heading) != style_.forbidding_sections.end();
    }
    for (const Passage& passage : section.passages) {
      const bool lead_forbids = !passage.lead.empty() && [&] {
        const auto sentences = marked_sentences(passage.lead);
        return !sentences.empty() && forbidden(sentences.back(), sentences.back().size());
      }();
      check({passage.text, passage.place, forbids || lead_forbids, report, true});
    }
  }
}

void WordingLint::run(const Value& value) {
  if (!style_.present) return;
  article_.clear();
  if (value.is_text()) check({value.text, value.place, false, true, false});
  for (const Value& item : value.items) run(item);
  for (const Member& member : value.members) run(member.value);
}

std::vector<Sentence> WordingLint::marked_sentences(std::string_view text) const {
  std::vector<Sentence> out = sentences_of(text);
  for (Sentence& sentence : out) phrases_.mark(sentence);
  return out;
}

void WordingLint::check(const Under& under) {
  check_addresses(under);
  for (const Sentence& sentence : joined_behind_titles(marked_sentences(under.text))) {
    check_comfort(under, sentence);
    check_certainty(under, sentence);
    check_orders(under, sentence);
    check_prices(under, sentence);
    if (under.report) check_report(under, sentence);
    if (under.names) check_names(under, sentence);
  }
}

// The full stop of "Dr. X" ends no sentence.
std::vector<Sentence> WordingLint::joined_behind_titles(std::vector<Sentence> sentences) const {
  std::vector<Sentence> out;
  for (Sentence& sentence : sentences) {
    if (!out.empty() && one_of(kHonorifics, out.back(), out.back().size() - 1)) {
      out.back().insert(out.back().end(), sentence.begin(), sentence.end());
    } else {
      out.push_back(std::move(sentence));
    }
  }
  return out;
}

void WordingLint::check_comfort(const Under& under, const Sentence& sentence) {
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    std::size_t words = longest_at(sentence, i, kComfortAlways);
    if (words == 0 && !under.forbids) {
      words = longest_at(sentence, i, kComfort);
      if (words > 0 && denied(sentence, i)) words = 0;
    }
    if (words == 0) continue;
    report(Rule::comfort, under, sentence, i, i + words, "comforts or approves",
           "say what was seen and what nobody can tell by looking");
    i += words - 1;
  }
}

void WordingLint::check_certainty(const Under& under, const Sentence& sentence) {
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    const std::size_t words = longest_at(sentence, i, kCertainty);
    if (words == 0) continue;
    bool open = one_of(kCertaintyUnlessNext, sentence, i + words);
    for (std::size_t at = clause_begin(sentence, i); at < i && !open; ++at)
      open = one_of(kCertaintyUnless, sentence, at);
    if (open) continue;
    report(Rule::certainty, under, sentence, i, i + words, "says for certain what only a laboratory can say",
           "write 'may contain'");
  }
}

bool WordingLint::denied(const Sentence& sentence, std::size_t at) const {
  bool inside = false;
  for (std::size_t i = 0; i < at; ++i) {
    if (one_of(kForbidding, sentence, i)) inside = true;
    if (one_of(kForbiddingEnds, sentence, i) || sentence[i].folded == ";") inside = false;
  }
  return inside;
}

bool WordingLint::forbidden(const Sentence& sentence, std::size_t at) const {
  if (denied(sentence, at)) return true;
  for (std::size_t i = clause_begin(sentence, at); i < at; ++i)
    if (one_of(kSupposing, sentence, i)) return true;
  return false;
}

bool WordingLint::is_order(const Sentence& sentence, std::size_t at, const Instruction& verb) const {
  const std::string& form = sentence[at].folded;
  const auto before = [&](std::size_t most, List phrases) {
    for (std::size_t back = 1; back <= most && back <= at; ++back)
      for (std::size_t words = 1; words <= back; ++words)
        if (longest_at(sentence, at - back, phrases) == words && back - words <= 2) return true;
    return false;
  };
  if (form == verb.bare) {
    const bool object = at + 1 < sentence.size() && one_of(kObjects, sentence, at + 1);
    const bool head = at == 0 || clause_mark(sentence[at - 1]) || sentence[at - 1].folded == "and" ||
                      sentence[at - 1].folded == "then" || sentence[at - 1].folded == "or" || sentence[at - 1].folded == "but" ||
                      sentence[at - 1].folded == "please" || sentence[at - 1].folded == "first";
    if (head && object) return true;
    if (at == 0 && sentence.size() > 1 && sentence[1].word && !one_of(kNotNext, sentence, 1)) {
      const bool verb_of_its_own =
          std::any_of(sentence.begin() + 1, sentence.end(), [&](const Piece& piece) {
            const auto i = static_cast<std::size_t>(&piece - sentence.data());
            return one_of(kFinite, sentence, i);
          });
      if (!verb_of_its_own) return true;
    }
    // "you can lift", "the owner should seal".
    for (std::size_t back = 1; back <= 4 && back <= at; ++back) {
      const std::size_t words = longest_at(sentence, at - back, kModals);
      if (words == 0 || back - words > 1) continue;
      for (std::size_t far = 1; far <= 3 && far <= at - back; ++far)
        if (one_of(kSubjects, sentence, at - back - far)) return true;
    }
  }
  if (form == verb.participle && before(4, kPassives)) return true;
  if (form == verb.gerund && before(2, kNeeds)) return true;
  return before(5, kUrging);
}

void WordingLint::check_orders(const Under& under, const Sentence& sentence) {
  if (under.forbids) return;
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    if (!one_of(kVerbs, sentence, i)) continue;
    for (const Instruction& verb : style_.instructions) {
      const std::string& form = sentence[i].folded;
      if (form != verb.bare && form != verb.gerund && form != verb.participle) continue;
      if (!is_order(sentence, i, verb) || forbidden(sentence, i)) continue;
      report(Rule::instruction, under, sentence, i, std::min(i + 3, sentence.size()),
             "tells the reader to do something to the material",
             "forbid it ('Do not ...'), or leave the work to licensed people");
      break;
    }
  }
}

void WordingLint::check_report(const Under& under, const Sentence& sentence) {
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    const std::size_t words = longest_at(sentence, i, kReportNever);
    if (words == 0 || denied(sentence, i)) continue;
    report(Rule::report_word, under, sentence, i, i + words, "is no word for a report",
           "say what was seen, and who should evaluate it");
  }
}

void WordingLint::check_prices(const Under& under, const Sentence& sentence) {
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    std::size_t words = longest_at(sentence, i, kPrices);
    if (sentence[i].folded == "$" && i + 1 < sentence.size()) words = 2;
    if (words > 0)
      report(Rule::price, under, sentence, i, i + words, "speaks of money", "leave prices to those who offer the work");
  }
}

bool WordingLint::unlisted_capital(const Under& under, const Piece& piece) const {
  if (!piece.word) return false;
  const std::string_view word = under.text.substr(piece.begin, piece.end - piece.begin);
  if (!upper(word.front())) return false;
  std::string listed(word);
  if (listed.ends_with("'s")) listed.resize(listed.size() - 2);
  if (std::binary_search(style_.capitalized.begin(), style_.capitalized.end(), listed)) return false;
  return !(listed.ends_with('s') && std::binary_search(style_.capitalized.begin(), style_.capitalized.end(),
                                                       listed.substr(0, listed.size() - 1)));
}

void WordingLint::check_names(const Under& under, const Sentence& sentence) {
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    const bool titled = i + 1 < sentence.size() && one_of(kHonorifics, sentence, i) &&
                        unlisted_capital(under, sentence[i + 1]);
    // Behind a colon or an opening sign a capital begins a sentence too.
    const bool begins = i == 0 || (!sentence[i - 1].word && sentence[i - 1].folded != ",");
    const std::string_view word = under.text.substr(sentence[i].begin, sentence[i].end - sentence[i].begin);
    const bool inner = std::any_of(word.begin() + 1, word.end(), upper);
    if (!titled && (!unlisted_capital(under, sentence[i]) || (begins && !inner))) continue;
    std::size_t end = i + 1;
    while (end < sentence.size() && unlisted_capital(under, sentence[end])) ++end;
    const std::size_t from = i > 0 && !titled && i == 1 && unlisted_capital(under, sentence[0]) ? 0 : i;
    const bool person = titled || end - from > 1;
    report(person ? Rule::person : Rule::brand, under, sentence, from, end,
           person ? "looks like a person's or a firm's name" : "looks like a maker's brand",
           "write what it is, or list the word under 'capitalized' in vocabulary/house-style.yaml");
    i = end - 1;
  }
}

void WordingLint::check_addresses(const Under& under) {
  if (like_an_address(under.text))
    problems_.add(Rule::address, under.place,
                  "an address out of the corpus; name the document or the agency instead");
}

void WordingLint::report(Rule rule, const Under& under, const Sentence& sentence, std::size_t from, std::size_t to,
                         const std::string& what, const std::string& instead) {
  const std::size_t begin = sentence[from].begin;
  const std::size_t end = sentence[to - 1].end;
  for (std::size_t row = 0; row < style_.exceptions.size(); ++row) {
    const Excuse& excuse = style_.exceptions[row];
    if (excuse.article != article_) continue;
    for (std::size_t i = 0; i < sentence.size(); ++i)
      if (i < to && i + excuse.phrase.size() > from && stands_at(sentence, i, excuse.phrase)) {
        used_[row] = true;
        return;
      }
  }
  problems_.add(rule, under.place,
                "'" + std::string(under.text.substr(begin, end - begin)) + "' " + what + "; " + instead);
}

void WordingLint::finish() {
  for (std::size_t row = 0; row < used_.size(); ++row)
    if (!used_[row] && seen_.contains(style_.exceptions[row].article))
      problems_.add(Rule::faulty_vocabulary, style_.exceptions[row].place,
                    "this exception excuses nothing on '" + style_.exceptions[row].article +
                        "'; take the row out, or write the words as they stand there");
}

}  // namespace indexer
