// What inspectors, insurers and courts have learned, each line that the note reader can meet. The numbers
// are those of the project's list of practice, sections 1 to 3 and 7; where that list gives an example,
// the example is here. Source of each line: common practice, read in trade pages; no rule says them.
// Every note is invented.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "kb/blocks.h"
#include "kb/text.h"
#include "kb/wording.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

kb::Attachment attached(const std::string& note) { return kb::attach(note, test_knowledge(), {}); }

const kb::Finding* find(const kb::Attachment& a, const std::string& id) {
  for (const kb::ObservationReading& o : a.reading.observations)
    for (const kb::Finding& f : o.findings)
      if (f.id == id) return &f;
  return nullptr;
}

bool has(const std::string& note, const std::string& id) {
  const kb::Attachment a = attached(note);
  return find(a, id) != nullptr;
}

bool has(const std::string& note, const std::string& id, const char* condition) {
  const kb::Attachment a = attached(note);
  const kb::Finding* f = find(a, id);
  return f != nullptr && (f->conditions & test_knowledge().bit(condition)) != 0;
}

std::string text_of(const std::string& note, const std::string& id) {
  const kb::Attachment a = attached(note);
  const kb::Finding* f = find(a, id);
  return f == nullptr ? std::string() : kb::paragraph(*f);
}

bool holds(const std::string& text, const std::string& part) { return kb::fold(text).find(kb::fold(part)) != std::string::npos; }

// Everything that can come out as a block: each material's wording with each condition's.
std::vector<std::string> all_report_wording() {
  const kb::Knowledge& k = test_knowledge();
  std::vector<std::string> out;
  for (const kb::Material& m : k.materials) {
    out.push_back(m.base);
    for (const auto& [condition, words] : m.variants) out.push_back(words);
  }
  for (const kb::Condition& c : k.conditions)
    if (const auto caution = k.cautions.find(c.caution); caution != k.cautions.end()) out.push_back(caution->second);
  for (const auto& [key, words] : k.wording.sentences) out.push_back(words);
  for (const auto& [key, words] : k.wording.advice) out.push_back(words);
  out.push_back(kb::standard_paragraph(k).text);
  return out;
}

}  // namespace

TEST_CASE("1: a block says what was seen and where, why it is suspect, its state, the caution, where else") {
  const std::string block = text_of("Basement: pipe insulation torn at the elbow, approx. 12 linear ft.", "pipe-lagging");
  std::size_t at = 0;
  for (const char* part : {"As noted: basement", "12 linear ft", "may contain asbestos", "undisturbed", "Elbows, valves"}) {
    CAPTURE(part);
    const std::size_t found = block.find(part, at);
    REQUIRE(found != std::string::npos);
    at = found;
  }
}

TEST_CASE("2 to 6 and 10 to 11: no block says is, comforts, approves, softens, presumes, names an action or a price") {
  for (const std::string& text : all_report_wording()) {
    CAPTURE(text);
    for (const char* word : {" is asbestos", " are asbestos", "must be asbestos", "harmless", "no concern", "nothing to worry", "typical for", "satisfactory", "acceptable",
                             "serviceable", "asbestos-like", "mineral material", "presumed", "re-tape", "encapsulate", "should be removed", "should be sealed", "should be painted",
                             "dollar", "cost", "cheap"})
      CHECK_FALSE(holds(text, word));
  }
  for (const kb::Material& m : test_knowledge().materials) {
    CAPTURE(m.id);
    const bool told = holds(m.base, "may contain") || holds(m.base, "can contain") || holds(m.base, "suspect");
    CHECK(told);
    CHECK(holds(m.base, "asbestos"));
  }
}

TEST_CASE("8 and 23: a suspicion, a question or a doubt without a sure name gets the text for unknown material") {
  for (const char* note : {"Possible asbestos on pipe.", "Is this asbestos? White stuff by the drain.", "Not sure about the panel, poss ACM.", "A word material suspected behind the bar.",
                           "Recommend asbestos testing of the odd boards."}) {
    CAPTURE(std::string(note));
    CHECK(has(note, "unknown-material"));
  }
}

TEST_CASE("9, 12, 13 and 14: the standard paragraph names who and when, that the list is not complete, and never stands alone") {
  const kb::Attachment some = attached("Attic: vermiculite.");
  REQUIRE(some.placed.size() == 2);
  const std::string& standard = some.placed.back().paragraph;
  for (const char* part : {"licensed or accredited asbestos professional", "before any work", "bound", "not complete", "not an asbestos survey", "laboratory", "local rules"}) {
    CAPTURE(part);
    CHECK(holds(standard, part));
  }
  for (const char* trade : {"handyman", "contractor", "heating firm"}) CHECK_FALSE(holds(standard, trade));
  CHECK(attached("Gutters are clean.").placed.empty());
}

TEST_CASE("15: the same facts give the same words") {
  CHECK(text_of("Attic: vermiculite, disturbed by the hatch.", "vermiculite-fill") == text_of("Attic: vermiculite, disturbed by the hatch.", "vermiculite-fill"));
}

TEST_CASE("16: place, side, extent and count are given back as written and none is asked of the client") {
  const std::string block = text_of("NE corner of basement: three boots with white paper wrap.", "duct-paper-wrap");
  CHECK(holds(block, "NE corner"));
  CHECK(holds(block, "three boots"));
  const kb::Attachment without = attached("White paper wrap on the boots, torn.");
  CHECK_FALSE(holds(without.text, "place is noted"));
  CHECK(std::any_of(without.reading.remarks.begin(), without.reading.remarks.end(), [](const kb::Remark& r) { return holds(r.text, "No place is noted"); }));
}

TEST_CASE("17: the inspector's own advice elsewhere in the note is work that is planned") {
  const struct {
    const char *note, *id;
  } cases[] = {
      {"Attic: pebbly gold fill between joists.\n\nRecommend: add insulation.", "vermiculite-fill"},
      {"Attic: vermiculite.\nNeeds more insulation.", "vermiculite-fill"},
      {"Den: 9x9 tile.\n\nReplace flooring throughout.", "vermiculite-floor"},
      {"White paper wrap on the boots.\n\nClean the ducts before move-in.", "duct-paper-wrap"},
      {"White cloth tape at duct seams.\n\nSeal duct joints.", "duct-tape-mastic"},
      {"Transite flue in the closet.\n\nUpdate water heater and vent.", "cement-flue-pipe"},
      {"Asbestos cement siding.\n\nPressure wash siding, mildew on north.", "cement-siding"},
      {"Popcorn ceilings upstairs.\n\nScrape ceiling in the nursery.", "popcorn-ceiling"},
      {"White paper wrap on the boots.\n\nRun a blower door test.", "duct-paper-wrap"},
  };
  for (const auto& c : cases) {
    CAPTURE(std::string(c.note));
    const std::string id = std::string(c.id) == "vermiculite-floor" ? "vinyl-floor-tile" : c.id;
    CHECK(has(c.note, id, "work-planned"));
  }
}

TEST_CASE("18: water at a suspect plaster, tile, texture or wrap is read as its state") {
  CHECK(has("Popcorn ceiling in the hall, water stain by the vent.", "popcorn-ceiling", "water"));
  CHECK(has("Old acoustic ceiling tiles, brown ring below the bath.", "ceiling-tile", "water"));
  CHECK(has("Paper wrap on the ducts is damp.", "duct-paper-wrap", "water"));
}

TEST_CASE("19: a generic word with a look is a description") {
  CHECK(has("Attic: loose fill, pebbly, shiny, accordion-like.", "vermiculite-fill"));
  CHECK_FALSE(has("Attic: loose fill insulation, 10 inches.", "vermiculite-fill"));
  CHECK(has("Gray cement-like board behind the furnace, hard.", "cement-wallboard"));
  CHECK(has("White papery tape on the duct joints.", "duct-tape-mastic"));
  CHECK(has("Covering like a plaster cast on the pipe elbows.", "fitting-mud"));
  CHECK(has("Wrap on the heating pipe is corrugated like cardboard at the cut end.", "air-cell-pipe-wrap"));
}

TEST_CASE("20: a later year clears nothing in the words; within ten years the text says that use went on") {
  const std::string block = text_of("Built 1985. Popcorn ceiling in the den.", "popcorn-ceiling");
  CHECK_FALSE(block.empty());
  const std::string later = text_of("Built 1990. Popcorn ceiling in the den.", "popcorn-ceiling");
  CHECK(holds(later, "stock, reuse and repairs came later"));
}

TEST_CASE("21: somebody's word denies nothing and the papers are asked for") {
  for (const char* note : {"Seller says the vermiculite was tested clean.", "Owner says the vermiculite was removed.", "Tenant says vermiculite was taken out in the nineties."}) {
    CAPTURE(std::string(note));
    const std::string block = text_of(note, "vermiculite-fill");
    CHECK(holds(block, "ask for the laboratory report"));
  }
  CHECK(has("Vermiculite sampled, lab result none detected.", "vermiculite-fill"));
}

TEST_CASE("22: what was not entered or only viewed from an opening is said") {
  for (const char* note : {"Vermiculite in attic, viewed from the hatch.", "Vermiculite in attic, not entered.", "Attic hatch sealed, vermiculite per listing photo.",
                           "Pipe lagging debris below, stopped at the doorway."}) {
    CAPTURE(std::string(note));
    const kb::Attachment a = attached(note);
    CHECK(std::any_of(a.reading.observations.begin(), a.reading.observations.end(), [](const kb::ObservationReading& o) {
      return std::any_of(o.findings.begin(), o.findings.end(), [](const kb::Finding& f) { return (f.conditions & test_knowledge().bit("not-visible")) != 0; });
    }));
  }
}

TEST_CASE("24: an act just done is disturbed and an earlier laboratory sample is not") {
  CHECK(has("Popcorn ceiling, broke off a piece by the fan.", "popcorn-ceiling", "disturbed"));
  CHECK(has("Pipe lagging, poked it to see what is inside.", "pipe-lagging", "disturbed"));
  CHECK(has("Opened the hatch and it fell, vermiculite on the landing.", "vermiculite-fill", "disturbed"));
  CHECK_FALSE(has("Popcorn ceiling sampled in 2015, lab report 3% chrysotile.", "popcorn-ceiling", "disturbed"));
}

TEST_CASE("25: words that come back to haunt a report are told to the writer alone") {
  for (const char* note : {"Popcorn ceiling, safe if left alone.", "Popcorn ceiling is asbestos.", "Popcorn ceiling, asbestos free.", "Popcorn ceiling should be removed.",
                           "Popcorn ceiling, removal cost 3000 dollars.", "Popcorn ceiling, have the handyman look at it."}) {
    CAPTURE(std::string(note));
    const kb::Attachment a = attached(note);
    CHECK(std::any_of(a.reading.remarks.begin(), a.reading.remarks.end(), [](const kb::Remark& r) { return r.text.starts_with("The note "); }));
    CHECK_FALSE(holds(a.text.substr(0, a.text.size()), "The note gives"));
    CHECK(a.text.starts_with(note));
  }
}

TEST_CASE("26: what is new is joined to what is old") {
  CHECK(has("New furnace on the old ducts, white paper wrap on the boots, new ductwork joined to old wrapped boots.", "duct-paper-wrap", "partly-replaced"));
  CHECK(has("New water heater, metal connector runs into the old cement flue above.", "cement-flue-pipe", "partly-replaced"));
  CHECK(has("Elbows still have the old mud, straight runs redone in fiberglass.", "fitting-mud", "partly-replaced"));
  CHECK(has("New vinyl plank laid over old 9x9 tile.", "vinyl-floor-tile"));
  CHECK(has("New vinyl siding over old asbestos cement shingles.", "cement-siding"));
  CHECK(has("Vermiculite removed, a few pebbles left in the corner.", "vermiculite-fill"));
}

TEST_CASE("29: wrap on an abandoned duct is on the air path all the same") {
  CHECK(has("Abandoned duct with white paper wrap, open to the den.", "duct-paper-wrap", "air-path"));
  CHECK(has("Abandoned duct with white paper wrap, open to the den.", "duct-paper-wrap", "left-in-place"));
}

TEST_CASE("28 and 30: crumbs after a removal are debris, residue on a pipe is left in place, and the papers are asked for") {
  CHECK(has("Pipe lagging was removed, crumbs remain on the floor.", "pipe-lagging", "debris"));
  CHECK(has("Pipe lagging removed, white residue stuck to the pipe.", "pipe-lagging", "left-in-place"));
  CHECK(holds(text_of("Owner says pipe lagging was removed.", "pipe-lagging"), "waste record"));
}

TEST_CASE("31: a block sends the reader on to where the same material usually is") {
  for (const kb::Material& m : test_knowledge().materials) {
    CAPTURE(m.id);
    CHECK(m.variants.contains("where-else"));
  }
}

TEST_CASE("46: a report's block has at most 80 words and a brief one 60, and the standard paragraph stands once") {
  kb::AttachOptions brief;
  brief.read.brief = true;
  const std::string note = "Basement: pipe lagging torn, debris on floor.\n\nAttic: vermiculite, hatch open.\n";
  for (const kb::AttachOptions& options : {kb::AttachOptions{}, brief}) {
    const kb::Attachment a = kb::attach(note, test_knowledge(), options);
    int standard = 0;
    for (const kb::PlacedBlock& b : a.placed) {
      const bool is_standard = b.ids.front() == test_knowledge().wording.standard_id;
      CHECK(kb::count_words(b.paragraph) <= (is_standard ? 70 : options.read.brief ? 60 : 80));
      standard += is_standard ? 1 : 0;
    }
    CHECK(standard == 1);
  }
}

TEST_CASE("51: names that people use on site are known") {
  const struct {
    const char *words, *id;
  } cases[] = {{"transite heat duct in slab", "cement-underfloor-duct"}, {"sub-slab duct, cement", "cement-underfloor-duct"}, {"plaster tape on the duct joints", "duct-tape-mastic"},
               {"papier-mache wrap on the boot", "duct-paper-wrap"}, {"white cloth tape on duct seams", "duct-tape-mastic"}, {"wrapped transition boot", "duct-paper-wrap"},
               {"porridge ceiling in the lounge", "popcorn-ceiling"}, {"cement asbestos siding", "cement-siding"}, {"nine by nines in the den", "vinyl-floor-tile"},
               {"rabbit food insulation in attic", "vermiculite-fill"}, {"orphaned transite vent", "cement-flue-pipe"}};
  for (const auto& c : cases) {
    CAPTURE(std::string(c.words));
    CHECK(has(std::string("Seen: ") + c.words + ".", c.id));
  }
}

TEST_CASE("52: slips of the pen and of the ear are read") {
  const struct {
    const char *words, *id;
  } cases[] = {{"Attic: vermiculate between joists.", "vermiculite-fill"}, {"air sell on the heat pipes", "air-cell-pipe-wrap"}, {"pipe legging in basement", "pipe-lagging"},
               {"duck wrap on the boats is white paper", "duct-paper-wrap"}};
  for (const auto& c : cases) {
    CAPTURE(std::string(c.words));
    CHECK(has(c.words, c.id));
  }
}

TEST_CASE("53: a duct that the note shows to be plastic or metal loses the cement name") {
  CHECK_FALSE(has("Under-slab transite-type duct is plastic.", "cement-underfloor-duct"));
  CHECK_FALSE(has("In-slab ducts, PVC.", "cement-underfloor-duct"));
}

TEST_CASE("54: no maker's word is needed where the words around it carry the match") {
  CHECK(has("Textured lumpy sprayed ceiling with glitter.", "popcorn-ceiling"));
  CHECK(has("Pebbly gold granules between the attic joists.", "vermiculite-fill"));
}
