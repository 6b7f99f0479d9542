// kb/wording.h: what a block says and in which order, and which texts are ours.
#include "kb/wording.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "tests/unit/corpus_for_tests.h"

namespace {

// The paragraph of the first finding of a note.
std::string paragraph_of(const std::string& note, std::optional<int> built = std::nullopt,
                         bool brief = false) {
  kb::ReadOptions options;
  options.built = built;
  options.brief = brief;
  const kb::Reading reading = kb::read_note(note, test_knowledge(), options);
  for (const auto& o : reading.observations)
    for (const kb::Finding& f : o.findings) return kb::paragraph(f);
  return {};
}

const kb::Material& material(const char* id) {
  const kb::Material* m = test_knowledge().material(id);
  REQUIRE(m != nullptr);
  return *m;
}

std::string filled(std::string text, const std::string& slot, const std::string& value) {
  return text.replace(text.find(slot), slot.size(), value);
}

std::string sentence(const char* key) { return test_knowledge().wording.sentences.at(key); }

// A finding as the reader would make it, for composing alone.
kb::Finding finding(const char* id, const std::vector<std::string>& conditions) {
  kb::Finding f;
  f.id = id;
  f.advice = "leave";
  for (const std::string& c : conditions) f.conditions |= test_knowledge().bit(c);
  return f;
}

std::string composed(kb::Finding f, bool brief = false) {
  kb::compose("", test_knowledge(), kb::Observation{}, brief, f);
  return kb::paragraph(f);
}

struct Case {
  const char* note;
  const char* first;
};

}  // namespace

TEST_CASE("a block begins with the note's own place and extent") {
  const Case cases[] = {
      {"BASEMENT\nPipe lagging, torn.", "As noted: basement. "},
      {"Crawl space: pipe lagging, torn.", "As noted: crawl space. "},
      {"NORTH UTILITY ROOM\n- Crawl space: pipe lagging.",
       "As noted: north utility room, crawl space. "},
      {"# Ground floor.\nPipe lagging, torn.", "As noted: ground floor. "},
      {"CAF\xC9\nPipe lagging, torn.", "As noted: caf\uFFFD. "},
  };
  for (const auto& c : cases) {
    CAPTURE(std::string(c.note));
    const std::string paragraph = paragraph_of(c.note);
    CHECK(paragraph.substr(0, std::string(c.first).size()) == c.first);
    CHECK(paragraph.find(material("pipe-lagging").base) != std::string::npos);
  }
}

TEST_CASE("without a place, or with words that are no place, a block begins with its base") {
  for (const char* note : {"Pipe lagging, torn.", "Pipe lagging: torn.",
                           "# One two three four five six seven eight nine\nPipe lagging, torn.",
                           "# Seen twice. By us\nPipe lagging, torn."}) {
    CAPTURE(std::string(note));
    CHECK(paragraph_of(note).starts_with(material("pipe-lagging").base));
  }
}

TEST_CASE("a material's own words for a state win over the general ones") {
  const kb::Knowledge& k = test_knowledge();
  int own = 0, general = 0;
  for (const kb::Material& m : k.materials)
    for (const kb::Condition& c : k.conditions) {
      CAPTURE(m.id);
      CAPTURE(c.id);
      const auto variant = m.variants.find(c.id);
      const auto caution = k.cautions.find(c.caution);
      const bool has_own = variant != m.variants.end();
      if (!has_own && caution == k.cautions.end()) continue;
      const std::string text = composed(finding(m.id.c_str(), {c.id}));
      CHECK(text.starts_with(m.base + " " + (has_own ? variant->second : caution->second)));
      ++(has_own ? own : general);
    }
  CHECK(own > 20);
  CHECK(general > 3);
}

TEST_CASE("states speak in the order of the vocabulary and the strongest is never left out") {
  const kb::Knowledge& k = test_knowledge();
  for (const kb::Material& m : k.materials) {
    for (const bool brief : {false, true}) {
      CAPTURE(m.id);
      CAPTURE(brief);
      kb::Finding f = finding(m.id.c_str(), k.wording.order);
      f.advice = k.advice_order.back();
      f.tested = "positive";
      f.hearsay = true;
      f.period = "after";
      const std::string text = composed(f, brief);
      const std::string& strongest = k.wording.order.front();
      const auto variant = m.variants.find(strongest);
      const std::string wanted =
          variant != m.variants.end()
              ? variant->second
              : k.cautions.at(
                    k.conditions[static_cast<std::size_t>(k.condition_index.at(strongest))]
                        .caution);
      CHECK(text.find(m.base) != std::string::npos);
      CHECK(text.find(wanted) != std::string::npos);
      CHECK(kb::count_words(text) <= (brief ? k.wording.brief : k.wording.most));
      CHECK(kb::may_have_written(k, m.id, text));
    }
  }
}

TEST_CASE("keeping out is said once where it is advised and nowhere else") {
  const kb::Knowledge& k = test_knowledge();
  const auto times_told = [&](const std::string& text) {
    const std::string said = kb::fold(text);
    int n = 0;
    for (const std::string& words : k.wording.said_by.at("keep-out"))
      for (std::size_t at = said.find(words); at != std::string::npos;
           at = said.find(words, at + 1))
        ++n;
    return n;
  };
  for (const kb::Material& m : k.materials)
    for (const std::vector<std::string>& states : std::vector<std::vector<std::string>>{
             {}, {"damaged"}, {"debris"}, {"debris", "disturbed"}}) {
      CAPTURE(m.id);
      CAPTURE(states);
      kb::Finding f = finding(m.id.c_str(), states);
      f.advice = "keep-out";
      const std::string text = composed(f);
      CAPTURE(text);
      CHECK(times_told(text) == 1);
    }
  kb::Finding plain = finding("pipe-lagging", {});
  plain.advice = "keep-out";
  CHECK(composed(plain).find(k.wording.advice.at("keep-out")) != std::string::npos);
  plain.advice = "leave";
  CHECK(times_told(composed(plain)) == 0);
}

TEST_CASE("years, hearsay and other readings have their fixed sentences") {
  const kb::Material& m = material("vinyl-floor-tile");
  kb::Finding f = finding(m.id.c_str(), {});
  const std::string bare = composed(f);
  f.period = "within";
  CHECK(composed(f) == bare);
  f.period = "after";
  CHECK(composed(f).find(filled(sentence("after"), "{year}", std::to_string(m.to))) !=
        std::string::npos);
  f.period = "before";
  CHECK(composed(f).find(filled(sentence("before"), "{year}", std::to_string(m.from))) !=
        std::string::npos);
  f.period = "unknown";
  f.hearsay = true;
  CHECK(composed(f).find(sentence("hearsay")) != std::string::npos);
  f.hearsay = false;
  f.other_readings = {"asphalt-floor-tile"};
  std::string title = test_knowledge().titles.at("asphalt-floor-tile");
  title[0] = static_cast<char>(title[0] + 32);
  CHECK(composed(f).find(filled(sentence("or"), "{others}", title)) != std::string::npos);
}

TEST_CASE("an id without a material gets its caution's wording or nothing") {
  const kb::Knowledge& k = test_knowledge();
  CHECK(composed(finding(k.wording.unknown_id.c_str(), {})) == k.cautions.at(k.wording.unknown_id));
  CHECK(composed(finding("no-such-article", {})).empty());
  CHECK(kb::paragraph(kb::Finding{}).empty());
}

TEST_CASE("a paragraph of ours is known as ours and any other text is not") {
  const kb::Knowledge& k = test_knowledge();
  const kb::Material& m = material("pipe-lagging");
  const auto ours = [&](const std::string& text) { return kb::may_have_written(k, m.id, text); };
  const std::string full = paragraph_of("BASEMENT\nPipe lagging, torn.");
  CHECK(ours(full));
  CHECK(ours(m.base));
  CHECK(ours("As noted: by the 9 x 9 in. tile; approx. 12 ft. " + m.base));
  const std::string others[] = {
      "",
      " ",
      "As noted: ",
      "As noted: .",
      m.base.substr(1),
      m.base.substr(0, m.base.size() - 1),
      m.base + " We told the owner.",
      "We told the owner. " + m.base,
      full + " We told the owner.",
      "As noted: basement. We told the owner. " + m.base,
      "As noted: one two three four five six seven eight nine. " + m.base,
      "As noted: everything that follows is my own, whatever it says. " + m.base + " And more.",
      material("popcorn-ceiling").base,
      std::string(5000, '.'),
      "As noted: " + std::string(4000, '.') + "!",
  };
  for (const std::string& text : others) {
    CAPTURE(text);
    CHECK_FALSE(ours(text));
  }
  const kb::Attached standard = kb::standard_paragraph(k);
  CHECK(kb::may_have_written(k, standard.id, standard.text));
  CHECK_FALSE(kb::may_have_written(k, m.id, standard.text));
  CHECK_FALSE(kb::may_have_written(k, "no-such-article", m.base));
  CHECK_FALSE(kb::may_have_written(k, "us-presumed-materials", standard.text));
}
