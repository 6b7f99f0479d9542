// Facts of the trade, each marked: common practice, no source.
//
// 1. Gray cement-like flue pipe is met in houses from the early 1900s into the 1970s (carried in the
//    text; no bound for the table), as exhaust of furnaces and of water heaters, and often only its
//    lower part was replaced, so that a newer metal connector is joined to an old upper run.
// 2. Paper wrap on supply boots, once seen at one register, is usually at several: each room has one.
// 3. New ductwork is often joined to old wrapped boots.
#include <doctest/doctest.h>

#include <string>

#include "kb/articles.h"
#include "kb/wording.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

std::string whole(const std::string& id) {
  const auto article = kb::load_article(test_database(), id);
  REQUIRE(article);
  return kb::to_markdown(*article, kb::Reader::everyone);
}

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

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("the flue pipe's page carries where and when it is met, marked as unsourced") {
  const std::string page = whole("cement-flue-pipe");
  CHECK(holds(page, "early 1900s"));
  CHECK(holds(page, "1970s"));
  CHECK(holds(page, "furnace"));
  CHECK(holds(page, "water heater"));
  CHECK(holds(page, "metal connector"));
  const auto article = kb::load_article(test_database(), "cement-flue-pipe");
  CHECK(holds(article->front, "common practice, no source"));
}

TEST_CASE("a metal connector below an old cement run is read as partly replaced") {
  for (const char* note : {"New furnace; its metal connector runs into the original cement flue pipe at the ceiling.",
                           "Metal connector below, old cement vent pipe above the ceiling line.",
                           "Water heater: newer metal vent below, joined to an old cement flue in the closet.",
                           "Gray cement vent pipe above; the lower part was replaced with metal.",
                           "Metal vent pipe runs up into old transite pipe in the attic."}) {
    CAPTURE(std::string(note));
    CHECK(partly_replaced(note, "cement-flue-pipe"));
  }
}

TEST_CASE("an old cement run with nothing newer on it is not partly replaced") {
  for (const char* note : {"Old cement flue pipe in the attic, no cracks.", "Cement vent pipe from the furnace up to the roof, original.",
                           "Abandoned cement flue in the chase, capped."}) {
    CAPTURE(std::string(note));
    REQUIRE(finding(note, "cement-flue-pipe"));
    CHECK_FALSE(partly_replaced(note, "cement-flue-pipe"));
  }
}

TEST_CASE("the text for a partly replaced flue names the older run that remains") {
  const auto f = finding("New metal connector joined to an old cement flue at the ceiling.", "cement-flue-pipe");
  REQUIRE(f);
  CHECK(holds(kb::paragraph(*f), "older"));
}

TEST_CASE("one wrapped boot sends the reader to the others") {
  CHECK(holds(whole("duct-paper-wrap"), "each room"));
  for (const char* note : {"White paper wrap on one register boot in the hall.", "Paper on the boot below the den, edges frayed."}) {
    CAPTURE(std::string(note));
    const auto f = finding(note, "duct-paper-wrap");
    REQUIRE(f);
    const std::string text = kb::paragraph(*f);
    CAPTURE(text);
    CHECK(holds(text, "ther register boots"));
  }
}

TEST_CASE("new ductwork joined to old wrapped boots is read as partly replaced") {
  for (const char* note : {"New ductwork joined to the old wrapped boots.", "New flex ducts connected to original wrapped boots in the crawl space.",
                           "Ducts replaced 2017. Original paper wrap left only on one boot in the dining room."}) {
    CAPTURE(std::string(note));
    CHECK(partly_replaced(note, "duct-paper-wrap"));
  }
  CHECK_FALSE(partly_replaced("White paper wrap on all supply boots, original.", "duct-paper-wrap"));
}
