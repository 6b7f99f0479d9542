// Facts of the trade, each marked: common practice, no source.
//
// 1. Gray cement-like flue pipe is met in houses from the early 1900s into the 1970s (carried in
// the
//    text; no bound for the table), as exhaust of furnaces and of water heaters, and often only its
//    lower part was replaced, so that a newer metal connector is joined to an old upper run.
// 2. Paper wrap on supply boots, once seen at one register, is usually at several: each room has
// one.
// 3. New ductwork is often joined to old wrapped boots.
#include <doctest/doctest.h>

#include <optional>
#include <string>

#include "kb/articles.h"
#include "kb/wording.h"
#include "tests/published/article_text.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

// The finding of `id` in a note, or nothing.
std::optional<kb::Finding> finding(const std::string& note, const std::string& id) {
  for (const kb::ObservationReading& o : kb::read_note(note, test_knowledge(), {}).observations)
    for (const kb::Finding& f : o.findings)
      if (f.id == id) return f;
  return std::nullopt;
}

bool partly_replaced(const std::string& note, const std::string& id) {
  const auto f = finding(note, id);
  return f && (f->conditions & test_knowledge().bit("partly-replaced")) != 0;
}

// What is attached for `id` in a note.
std::string attached(const std::string& note, const std::string& id) {
  const auto f = finding(note, id);
  return f ? kb::paragraph(*f) : std::string();
}

}  // namespace

TEST_CASE("the pages carry the facts of the trade, each marked as without a source") {
  struct Case {
    const char* id;
    const char* says;
  };
  const Case cases[] = {
      // Common practice, no source: where and when the flue is met; no bound for the table.
      {"cement-flue-pipe",
       "Common practice, with no printed source: gray cement-like flue pipe is met in houses from "
       "the early 1900s into the 1970s, as exhaust of furnaces and of water heaters."},
      // Common practice, no source: what is left of it.
      {"cement-flue-pipe",
       "Often only its lower part was replaced, so that a newer metal connector is joined to an "
       "old "
       "upper run."},
      {"cement-flue-pipe", "Look above any newer metal connector: the old run often begins there."},
      // Common practice, no source: wrap at several registers; new ductwork on old boots.
      {"duct-paper-wrap",
       "Common practice, with no printed source: paper wrap on supply boots, once seen at one "
       "register, is usually at several, because each room has one."},
      {"duct-paper-wrap", "New ductwork is often joined to old wrapped boots."},
      {"duct-paper-wrap", "The boot of every other register, on all floors"},
      {"warm-air-ducts", "wrap seen at one is usually at several, because each room has one."},
      {"warm-air-ducts", "New ductwork is often joined to old wrapped boots."},
      {"warm-air-ducts", "the old flue above a newer metal connector"},
      {"partly-replaced",
       "From one wrapped boot, look at every register; from a new connector, look "
       "up to the roof."},
  };
  for (const Case& c : cases) {
    CAPTURE(std::string(c.id));
    CAPTURE(std::string(c.says));
    CHECK(holds(printed(c.id), c.says));
  }
  for (const char* id : {"cement-flue-pipe", "duct-paper-wrap"}) {
    CAPTURE(std::string(id));
    auto row = test_database().query(
        "SELECT count(*) FROM article, json_each(front, '$.sources') s WHERE article.id=?1"
        " AND s.value->>'$.cite' LIKE '%(common practice, no source)'"
        " AND s.value->>'$.status' = 'common practice'");
    row.bind(1, std::string_view(id));
    REQUIRE(row.step());
    CHECK(row.integer(0) == 1);
  }
  // The years of the trade are no bound: the table's start stays (EPA 1985, second-hand).
  const kb::Material* flue = test_knowledge().material("cement-flue-pipe");
  REQUIRE(flue != nullptr);
  CHECK(flue->from == 1935);
}

TEST_CASE("a metal connector below an old cement run is read as partly replaced") {
  // Common practice, no source.
  for (const char* note : {
           "New furnace; its metal connector runs into the original cement flue pipe at the "
           "ceiling.",
           "Metal connector below, old cement vent pipe above the ceiling line.",
           "Newer metal connector below, older cement flue pipe above.",
           "Water heater: newer metal vent below, joined to an old cement flue in the closet.",
           "The water heater vents through a metal connector into an old cement vent pipe.",
           "Galvanized connector at the water heater joins a gray cement vent pipe in the closet.",
           "Gray cement vent pipe above; the lower part was replaced with metal.",
           "Lower section of the cement flue was replaced with metal; upper run is original.",
           "The lower half of the old transite flue was replaced with a metal vent.",
           "Metal vent pipe runs up into old transite pipe in the attic.",
           "Single-wall metal runs up to the old cement vent pipe in the chase.",
           "Furnace replaced 2009; sheet metal pipe now goes into the old transite flue.",
           "Old cement flue in the attic; a new metal vent was fitted below it.",
           "Transite flue in the attic above a newer metal connector.",
           "Cement vent pipe stops above a newer metal one.",
           "Double-wall vent below the ceiling, old cement flue above it.",
           "Hard gray pipe, like concrete, above; the water heater has a new connector that slips "
           "into it.",
       }) {
    CAPTURE(std::string(note));
    CHECK(partly_replaced(note, "cement-flue-pipe"));
    CHECK(holds(attached(note, "cement-flue-pipe"),
                "Newer parts join older cement-like pipe. The older run, out of view too, remains "
                "suspect."));
  }
}

TEST_CASE("a cement run that nothing newer is joined to is not partly replaced") {
  // Common practice, no source.
  for (const char* note : {
           "Old cement flue pipe in the attic, no cracks.",
           "Cement vent pipe from the furnace up to the roof, original.",
           "Abandoned cement flue in the chase, capped.",
           "Cement flue pipe intact from furnace to roof, no metal connector.",
           "No newer metal connector; the cement flue pipe is original from furnace to roof.",
           "Cement flue pipe passes through a metal collar at the ceiling.",
           "Cement flue pipe hangs on metal straps in the attic.",
           "Water heater is new. Cement flue pipe in the attic is whole.",
           "Lower part of the cement flue is cracked above the furnace.",
           "Cement flue pipe behind the furnace. New metal garage door.",
       }) {
    CAPTURE(std::string(note));
    REQUIRE(finding(note, "cement-flue-pipe"));
    CHECK_FALSE(partly_replaced(note, "cement-flue-pipe"));
    CHECK_FALSE(holds(attached(note, "cement-flue-pipe"), "Newer parts join"));
  }
  // Metal throughout, and a flue that is gone for good: nothing to attach.
  for (const char* note :
       {"New metal connector at the furnace, double-wall metal vent to the roof.",
        "The cement flue was replaced with a metal vent in 2011, no remnants."}) {
    CAPTURE(std::string(note));
    CHECK_FALSE(finding(note, "cement-flue-pipe"));
  }
}

TEST_CASE("one wrapped boot sends the reader to the other registers") {
  // Common practice, no source.
  for (const char* note : {
           "White paper wrap on one register boot in the hall.",
           "Paper on the boot below the den, edges frayed.",
           "One wrapped boot seen at the dining room register.",
           "Grayish paper glued to the boot under the bedroom register, intact.",
           "Boot wrap at the kitchen register, painted, no tears.",
       }) {
    CAPTURE(std::string(note));
    const std::string text = attached(note, "duct-paper-wrap");
    CAPTURE(text);
    CHECK(holds(text, "Other register boots often carry such wrap and should be viewed too."));
  }
  // Nothing sends the reader to the registers where no wrap is told of.
  for (const char* note : {"Register boot in the hall is bare metal, no paper.",
                           "New ductwork, all new metal boots, no wrap.",
                           "Cement flue pipe in the attic, no cracks."}) {
    CAPTURE(std::string(note));
    CHECK_FALSE(finding(note, "duct-paper-wrap"));
  }
  CHECK_FALSE(holds(attached("Cement flue pipe in the attic, no cracks.", "cement-flue-pipe"),
                    "register boots"));
}

TEST_CASE("new ductwork joined to old wrapped boots is read as partly replaced") {
  // Common practice, no source.
  for (const char* note : {
           "New ductwork joined to the old wrapped boots.",
           "New flex ducts connected to original wrapped boots in the crawl space.",
           "Ducts replaced 2017. Original paper wrap left only on one boot in the dining room.",
           "Ductwork was replaced but the paper wrapped boots are original.",
           "New flexible ducts tie into old boots with paper wrap.",
           "New sheet metal trunk, old wrapped boots reused.",
           "New ductwork in the attic ends at older wrapped register boots.",
           "Newer furnace and ducts, but the boots still have the old paper wrap.",
       }) {
    CAPTURE(std::string(note));
    CHECK(partly_replaced(note, "duct-paper-wrap"));
    CHECK(
        holds(attached(note, "duct-paper-wrap"),
              "Newer ductwork or equipment is joined to older wrapped parts, and those older parts "
              "remain suspect."));
  }
  for (const char* note : {
           "White paper wrap on all supply boots, original.",
           "White paper wrap on all supply boots, original ductwork.",
           "Ductwork not replaced; original paper wrapped ducts throughout.",
           "Boot wrap at the den register. New carpet in the den.",
           "Boot wrap at the den register. The furnace filter was replaced.",
           "Boot wrap torn at the lower part of the wall stack.",
       }) {
    CAPTURE(std::string(note));
    REQUIRE(finding(note, "duct-paper-wrap"));
    CHECK_FALSE(partly_replaced(note, "duct-paper-wrap"));
  }
}

TEST_CASE("newer metal elsewhere, and wrap that is denied, are not read into old things") {
  CHECK_FALSE(partly_replaced(
      "Metal connector at the water heater runs into a metal flue. Old cement siding outside.",
      "cement-siding"));
  CHECK_FALSE(finding("No paper wrap on the register boots.", "duct-paper-wrap"));
  CHECK(finding("No papers, pipe lagging in the basement.", "pipe-lagging"));
  CHECK(partly_replaced("The lower half of the transite flue was replaced with a B-vent.",
                        "cement-flue-pipe"));
}
