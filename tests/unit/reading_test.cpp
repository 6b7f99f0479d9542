// Reading a note: what is there, what is denied, in what state, and what to advise.
// Every note here is invented.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "kb/blocks.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

// A reading in one line: "id(conditions)/severity?tested ... -id:because ... = advice".
std::string summary(const std::string& note, std::optional<int> built = std::nullopt) {
  const kb::Knowledge& k = test_knowledge();
  kb::ReadOptions options;
  options.built = built;
  const kb::Reading reading = kb::read_note(note, k, options);
  std::string out;
  for (const kb::ObservationReading& o : reading.observations) {
    for (const kb::Finding& f : o.findings) {
      out += f.id + "(";
      std::string conditions;
      for (const std::string& id : k.ids_of(f.conditions)) conditions += (conditions.empty() ? "" : ",") + id;
      out += conditions + ")" + (f.severity == "bad" ? "/bad" : "") + (f.tested.empty() ? "" : "?" + f.tested) + " ";
    }
    for (const kb::LeftOut& l : o.left_out) out += "-" + l.id + ":" + l.because + " ";
  }
  return out + "= " + reading.advice;
}

struct Case {
  const char* note;
  const char* reading;
};

void check(const std::vector<Case>& cases) {
  for (const Case& c : cases) {
    CAPTURE(std::string(c.note));
    CHECK(summary(c.note) == std::string(c.reading));
  }
}

}  // namespace

TEST_CASE("a named material is found in any inflection, misspelt or misheard") {
  check({
      {"Pipe lagging in the cellar.", "pipe-lagging() = evaluate"},
      {"LAGGED PIPES IN THE CELLAR", "pipe-lagging() = evaluate"},
      {"Note: vermiculite in the attic.", "vermiculite-fill() = evaluate"},
      {"Noted vermiculite in the attic. None of it moved.", "vermiculite-fill() = evaluate"},
      {"Added vermiculite fill in the attic.", "vermiculite-fill() = evaluate"},
      {"Pipe-lagging, crawl space.", "pipe-lagging() = evaluate"},
      {"Vermiculte in the attic.", "vermiculite-fill() = evaluate"},
      {"there is firm a cue light in the attic", "vermiculite-fill() = evaluate"},
      {"pop corn sealing in the den", "popcorn-ceiling() = leave"},
      {"nine by nine tile in the laundry", "vinyl-floor-tile() = leave"},
      {"9\"x9\" tiles, tight", "vinyl-floor-tile(intact) = leave"},
      {"9 inch tiles in the hall", "vinyl-floor-tile() = leave"},
      {"Kitchen vinyl from the 60s to be torn out in May.", "sheet-vinyl-backing(work-planned) = evaluate"},
      {"Luxury vinyl flooring throughout.", "-sheet-vinyl-backing:lookalike = none"},
      {"Cement asbestos siding, all walls.", "cement-siding() = leave"},
      {"air sell insulation on the hot water pipes, frayed", "air-cell-pipe-wrap(worn) = evaluate"},
      {"On the north side of the house the wall is clad with old asbestos\nsiding, painted white.", "cement-siding() = leave"},
      {"Drywall joint compound at the seams.", "joint-compound() = leave"},
  });
}

TEST_CASE("a material is recognised by its look without its name") {
  check({
      {"Attic is filled with silvery accordion-like granules.", "vermiculite-fill() = evaluate"},
      {"Boots wrapped with white paper, edges flat.", "duct-paper-wrap(air-path) = evaluate"},
      {"Cottage cheese look overhead in the hall, sprayed, with glitter.", "popcorn-ceiling() = leave"},
      {"gray pipe from water heater looks like concrete goes up through the closet ceiling",
       "cement-flue-pipe() = leave"},
      {"Crawl not entered: loose insulation debris from the steam pipes.", "pipe-lagging(debris,damaged,not-visible) = keep-out"},
      {"Elbows are covered in hard white plaster-like mud.", "fitting-mud() = evaluate"},
  });
}

TEST_CASE("ordinary notes with look-like words attach nothing") {
  check({
      {"Popcorn machine in the bonus room is personal property.", "= none"},
      {"Duct tape on the dryer vent. Paper towels stored on the duct.", "= none"},
      {"Mud on the basement floor from flooding.", "= none"},
      {"Tile floor cracked in bath, grout missing.", "= none"},
      {"Vinyl siding loose at the gable. Asphalt drive cracked.", "= none"},
      {"Sheet metal jacket panel of the boiler is missing two screws.", "= none"},
      {"Popcorn cart in the bedroom is personal property.", "-popcorn-ceiling:lookalike = none"},
      {"Refrigerator door gasket torn.", "= none"},
      {"Cement side walk cracked at the cement side of the yard.", "= none"},
      {"", "= none"},
      {"\n \n\t\n", "= none"},
  });
}

TEST_CASE("a denied material attaches nothing and is listed with the reason") {
  check({
      {"No vermiculite seen in the attic.", "-vermiculite-fill:denied = none"},
      {"Vermiculite: none observed.", "-vermiculite-fill:denied = none"},
      {"Boiler jacket? No. It is bare cast iron.", "-boiler-jacket:denied = none"},
      {"Asbestos siding: N/A, house is brick.", "-cement-siding:denied = none"},
      {"Vermiculite - none.", "-vermiculite-fill:denied = none"},
      {"No pipe lagging, duct wrap or vermiculite observed.",
       "-pipe-lagging:denied -duct-paper-wrap:denied -vermiculite-fill:denied = none"},
      {"Popcorn ceilings not present.", "-popcorn-ceiling:denied = none"},
      {"I did not see any paper wrap on the ducts.", "-duct-paper-wrap:denied = none"},
      {"Siding is not asbestos cement, it's painted cedar.", "-cement-siding:denied = none"},
      {"Attic insulation: blown fiberglass; no evidence of vermiculite.", "-vermiculite-fill:denied = none"},
      {"Vermiculite removed in 2011, no remnants.", "-vermiculite-fill:denied = none"},
  });
}

TEST_CASE("what only looks like denial silences nothing") {
  check({
      {"Vermiculite not ruled out below the batts.", "vermiculite-fill(not-visible) = evaluate"},
      {"Vermiculite in attic was not tested.", "vermiculite-fill() = evaluate"},
      {"No sample taken of the pipe lagging.", "pipe-lagging() = evaluate"},
      {"No access to attic; vermiculite reported at the hatch.", "vermiculite-fill(not-visible) = evaluate"},
      {"Attic not entered due to vermiculite at hatch.", "vermiculite-fill(not-visible) = evaluate"},
      {"Do not disturb the vermiculite.", "vermiculite-fill() = evaluate"},
      {"Pipe lagging is not intact at the boiler.", "pipe-lagging(damaged) = evaluate"},
      {"Cement flue no longer sealed at the ceiling.", "cement-flue-pipe(damaged) = evaluate"},
      {"Not only vermiculite but also pipe lagging was seen.", "vermiculite-fill() pipe-lagging() = evaluate"},
      {"Not sure whether the popcorn ceiling contains asbestos.", "popcorn-ceiling() = leave"},
      {"Cement flue pipe in the attic, furnace replaced 2015.", "cement-flue-pipe() = leave"},
      {"Cement flue served the old furnace removed in 2010.", "cement-flue-pipe() = leave"},
      // What was not seen is the part named behind the comma.
      {"Vermiculite, depth not seen.", "vermiculite-fill() = evaluate"},
      {"Popcorn ceiling, edges not seen.", "popcorn-ceiling() = leave"},
  });
}

TEST_CASE("ordinary words that only sound like a name are none") {
  check({
      // A place and a state of several words are what they say.
      {"Crawl space viewed from the access door only.", "= none"},
      // One ordinary word, with an article or a preposition before it.
      {"The structure was level.", "= none"},
      {"Steps from the external landing are loose.", "= none"},
      {"Water heater tank lacks a strap.", "= none"},
      {"Drain pipe lacks support.", "= none"},
      // A row of words that mean nothing together is still heard.
      {"Attic has vermin cue light between joists.", "vermiculite-fill() = evaluate"},
  });
}

TEST_CASE("a denied state leaves the material there and sound") {
  check({
      {"No damage to the pipe lagging.", "pipe-lagging(intact) = leave"},
      {"No cracked shingles, the asbestos siding is painted.", "cement-siding(intact) = leave"},
      {"The popcorn ceiling is not damaged.", "popcorn-ceiling(intact) = leave"},
      {"No vermiculite, pipe lagging torn at the boiler.", "pipe-lagging(damaged) -vermiculite-fill:denied = evaluate"},
      {"No damage, stained at the corner: popcorn ceiling.", "popcorn-ceiling(water) = evaluate"},
      {"Pipe lagging; no damage; no debris.", "pipe-lagging(intact) = leave"},
      {"Neither the 9x9 tile nor its black adhesive showed cracks.", "vinyl-floor-tile(intact) black-mastic(intact) = leave"},
      {"The pipe lagging shows no damage except at the tee, where it is torn.", "pipe-lagging(damaged) = evaluate"},
  });
}

TEST_CASE("each state gives the advice of the table") {
  check({
      {"Pipe lagging torn at the valve.", "pipe-lagging(damaged) = evaluate"},
      {"Pipe lagging crumbling and hanging.", "pipe-lagging(damaged)/bad = keep-out"},
      {"Asbestos siding, several cracked.", "cement-siding(damaged) = evaluate"},
      {"Asbestos siding, badly cracked.", "cement-siding(damaged)/bad = evaluate"},
      {"White paper wrap on the ducts, tight.", "duct-paper-wrap(air-path,intact) = evaluate"},
      {"White paper wrap on the ducts, torn.", "duct-paper-wrap(damaged,air-path) = keep-out"},
      {"Popcorn ceiling with a water stain.", "popcorn-ceiling(water) = evaluate"},
      {"Popcorn ceiling to be scraped.", "popcorn-ceiling(work-planned) = evaluate"},
      {"Vermiculite fill, some on the floor below.", "vermiculite-fill(debris) = keep-out"},
      {"Pieces of popcorn ceiling on the floor.", "popcorn-ceiling(debris) = keep-out"},
      {"Bits of the pipe lagging lie below the valve.", "pipe-lagging(debris) = keep-out"},
      {"No pieces of the pipe lagging on the floor, jacket tight.", "pipe-lagging(intact) = leave"},
      {"Sheet vinyl curling at the tub.", "sheet-vinyl-backing(worn) = evaluate"},
      {"Old cement flue in attic, abandoned.", "cement-flue-pipe(left-in-place) = leave"},
      {"Vermiculite fill, tight and undisturbed.", "vermiculite-fill(intact) = leave"},
  });
}

TEST_CASE("somebody who has just handled it makes the reader keep out") {
  check({
      {"Broke off a piece of the pipe lagging to look at it.", "pipe-lagging(disturbed) = keep-out"},
      {"Removed sheet vinyl last week.", "sheet-vinyl-backing(disturbed) = keep-out"},
      {"Joint compound in the den being sanded today by the painter.", "joint-compound(disturbed) = keep-out"},
  });
}

TEST_CASE("states belong to the thing they are said of") {
  check({
      {"Pipe lagging torn, popcorn ceiling sound.", "pipe-lagging(damaged) popcorn-ceiling(intact) = evaluate"},
      {"9x9 tile set in black adhesive, a few tiles chipped.", "vinyl-floor-tile(damaged) black-mastic() = evaluate"},
      {"Torn paper wrap on ducts. Asbestos siding sound.", "duct-paper-wrap(damaged,air-path) cement-siding(intact) = keep-out"},
      {"Paper on boots and cloth tape on duct seams. Both tight.",
       "duct-paper-wrap(air-path,intact) duct-tape-mastic(air-path,intact) = evaluate"},
      {"Asbestos siding, two cracked, rest sound.", "cement-siding(damaged) = evaluate"},
  });
}

TEST_CASE("modern look-alikes are left out, an older part beside them is not") {
  check({
      {"Fiberglass pipe insulation in basement, no damage.", "-pipe-lagging:lookalike = none"},
      {"Fiber cement siding, intact.", "-cement-siding:lookalike = none"},
      {"Heating pipe insulation is foam.", "-pipe-lagging:lookalike = none"},
      {"Register boots: new flex duct tied into old boots with paper wrap.",
       "duct-paper-wrap(partly-replaced,air-path) = evaluate"},
      {"Steam pipes have fiberglass but elbows are covered in hard white plaster-like mud.",
       "fitting-mud() = evaluate"},
  });
}

TEST_CASE("a year far past common use leaves out, unless an older part or a suspicion is told of") {
  check({
      {"House built 2005. Popcorn ceiling in hall.", "-popcorn-ceiling:period = none"},
      {"House built 1994. Popcorn ceiling in hall.", "popcorn-ceiling() = leave"},
      {"Sheet vinyl in kitchen, installed 2012.", "-sheet-vinyl-backing:period = none"},
      {"New sheet vinyl in kitchen, 2015.", "-sheet-vinyl-backing:period = none"},
      {"House built 2005. Old reused vinyl floor tile in hall.", "vinyl-floor-tile() = leave"},
      {"House built 2005. Popcorn ceiling, possible asbestos.", "popcorn-ceiling() = leave"},
      {"Asbestos siding at the rear addition, built 1998.", "cement-siding() = leave"},
      {"2021 vinyl plank laid over an older floor; edge of 9x9 tile visible.", "vinyl-floor-tile() = leave"},
  });
  CHECK(summary("Popcorn ceiling in hall.", 2015) == "-popcorn-ceiling:period = none");
  CHECK(summary("House built 2015. Popcorn ceiling in hall.", 1962) == "popcorn-ceiling() = leave");
  // A house older than the first common years silences nothing.
  CHECK(summary("Popcorn ceiling in hall.", 1890) == "popcorn-ceiling() = leave");
}

TEST_CASE("hearsay denies nothing, what the writer saw does") {
  check({
      {"Vendor says vermiculite in the loft was checked and is fine.", "vermiculite-fill() = evaluate"},
      {"Seller says vermiculite was removed.", "vermiculite-fill() = evaluate"},
      {"Owner says the popcorn ceiling was tested clean.", "popcorn-ceiling() = leave"},
      {"Seller states pipe wrap was removed. Looked at every run, no remnants.", "-pipe-lagging:denied = none"},
      {"Vermiculite was removed in 2011 but pebbles remain along the eaves.", "vermiculite-fill(debris,left-in-place) = keep-out"},
  });
}

TEST_CASE("laboratory results in the note are read layer by layer") {
  check({
      {"Popcorn ceiling: lab report, none detected.", "-popcorn-ceiling:tested-negative = none"},
      {"Joint compound came back trace per lab.", "joint-compound()?trace = leave"},
      {"Lab: 9x9 tile positive, black mastic ND.", "vinyl-floor-tile()?positive -black-mastic:tested-negative = leave"},
      {"Lab: pipe lagging 15% amosite, jacket sound.", "pipe-lagging(intact)?positive = leave"},
      {"Lab: sheet vinyl <1% chrysotile.", "sheet-vinyl-backing()?trace = leave"},
      {"Vermiculite tested, none detected.", "vermiculite-fill()?negative = evaluate"},
      {"Vermiculite tested negative, sound.", "vermiculite-fill(intact)?negative = leave"},
  });
}

TEST_CASE("a suspicion without a material gets the text for unknown material") {
  check({
      {"Possible asbestos on pipe in crawl space.", "unknown-material() = evaluate"},
      {"Is this asbestos? White stuff above furnace.", "unknown-material() = evaluate"},
      {"Poss ACM near the flue collar.", "unknown-material() = evaluate"},
      {"This inspection does not include asbestos or other hazardous materials.", "= none"},
      {"Client asked about asbestos on the phone.", "= none"},
      {"No asbestos containing materials were observed.", "= none"},
      {"Asbestos caution: my own words on the gutters.", "= none"},
      {"Tested: duct tape 60% chrysotile.", "unknown-material() = evaluate"},
  });
}

TEST_CASE("work advised elsewhere in the note is planned work for what it would touch") {
  check({
      {"Add attic insulation to R-49.\n\nPebbly gray fill between joists in the attic, poured.",
       "vermiculite-fill(work-planned) = evaluate"},
      {"Pressure wash the siding.\n\nAsbestos shingle siding, painted, sound.", "cement-siding(work-planned,intact) = evaluate"},
      {"No need to clean the ducts.\n\nWhite cloth tape at duct seams, tight.", "duct-tape-mastic(air-path,intact) = evaluate"},
      {"Add attic insulation.\n\nAsbestos shingle siding, sound.", "cement-siding(intact) = leave"},
  });
}

TEST_CASE("bytes that are not text are read past") {
  CHECK(summary(std::string("Pipe\0 lagging. Pipe lagging torn.", 33)) == "pipe-lagging(damaged) = evaluate");
  CHECK(summary("\xFF\xFE\x80 Pipe lagging \xC3 torn.") == "pipe-lagging(damaged) = evaluate");
}

TEST_CASE("a shared name says its other readings") {
  const kb::Reading r = kb::read_note("Dark 9x9 tile in the basement.", test_knowledge(), {});
  REQUIRE(r.observations.size() == 1);
  REQUIRE(r.observations[0].findings.size() == 1);
  CHECK(r.observations[0].findings[0].other_readings == std::vector<std::string>{"vinyl-floor-tile"});
}

TEST_CASE("the note's own places and extents are repeated in the block") {
  const kb::Attachment a = kb::attach("CRAWL SPACE\n- White paper wrap on three supply boots, torn.\n", test_knowledge(), {});
  CHECK(a.text.find("As noted: crawl space; three supply boots.") != std::string::npos);
}

TEST_CASE("a heading that is a topic is no place") {
  const kb::Attachment topic = kb::attach("HEATING\n- Asbestos siding, two cracked.\n", test_knowledge(), {});
  CHECK(topic.blocks == 1);
  CHECK(topic.text.find("As noted: heating") == std::string::npos);
  const kb::Attachment place = kb::attach("Unit B:\n- Asbestos siding, two cracked.\n", test_knowledge(), {});
  CHECK(place.text.find("As noted: unit B.") != std::string::npos);
}

TEST_CASE("the writer is told of words of comfort, certainty and price, and the note stays") {
  const std::string note = "The pipe lagging is asbestos but safe, removal costs 900 dollars.\n";
  const kb::Attachment a = kb::attach(note, test_knowledge(), {});
  std::string said;
  for (const kb::Remark& r : a.reading.remarks) said += r.text + "\n";
  CHECK(said.find("'safe'") != std::string::npos);
  CHECK(said.find("'is asbestos'") != std::string::npos);
  CHECK(said.find("'dollars'") != std::string::npos);
  CHECK(a.text.starts_with(note));
}

TEST_CASE("no word of general English is taken for a word of denial") {
  // "Note:" must not read as "not": such a collision silences what stands behind it.
  for (const std::string denial : {"no", "not", "none", "never", "without", "nor", "neither", "nil", "zero"}) {
    CAPTURE(denial);
    auto words = test_database().query("SELECT word FROM general_word WHERE word LIKE ?1");
    words.bind(1, denial.substr(0, 2) + "%");
    int seen = 0;
    while (words.step()) {
      ++seen;
      const std::string word = words.text(0);
      const bool own = word == denial || word.starts_with(denial + "'") || word == denial + "s" || word == denial + "ed" ||
                       word == denial + "es" || word == denial + "ing";
      if (own) continue;
      CAPTURE(word);
      CHECK(kb::stem(word) != kb::stem(denial));
    }
    CHECK(seen > 3);
  }
}
