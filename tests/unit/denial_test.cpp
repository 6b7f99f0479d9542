// Denial by itself: a table of sentences, each with what it says of one material.
//
// The method is published (Chapman et al., A simple algorithm for identifying negated findings and
// diseases, J Biomed Inform 34 (2001) 301-310; there, from memory, sensitivity 0.78 and specificity 0.94);
// the sentences are our own. "Present" read as absent is the dangerous error, so its bound is the tighter.
#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "kb/reading.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

struct Row {
  std::string text, material, expect;
};

std::vector<Row> table() {
  std::ifstream in(LETBE_SOURCE_DIR "/tests/denial/table.tsv");
  REQUIRE(in);
  std::vector<Row> out;
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with('#') || line.starts_with("text\t")) continue;
    std::istringstream cells(line);
    Row row;
    std::getline(cells, row.text, '\t');
    std::getline(cells, row.material, '\t');
    std::getline(cells, row.expect, '\t');
    out.push_back(std::move(row));
  }
  return out;
}

bool attached(const Row& row) {
  const kb::Reading reading = kb::read_note(row.text, test_knowledge(), {});
  for (const kb::ObservationReading& o : reading.observations)
    for (const kb::Finding& f : o.findings)
      if (f.id == row.material || std::find(f.other_readings.begin(), f.other_readings.end(), row.material) != f.other_readings.end()) return true;
  return false;
}

}  // namespace

TEST_CASE("what a sentence denies is left out and what it only seems to deny is not") {
  int present = 0, kept = 0, absent = 0, left_out = 0;
  std::string wrong;
  for (const Row& row : table()) {
    const bool there = row.expect == "present";
    REQUIRE((there || row.expect == "absent"));
    const bool got = attached(row);
    (there ? present : absent) += 1;
    if (there && got) ++kept;
    if (!there && !got) ++left_out;
    if (there != got) wrong += "\n  " + row.expect + " " + row.material + ": " + row.text;
  }
  REQUIRE(present + absent >= 150);
  const double sensitivity = static_cast<double>(kept) / present, specificity = static_cast<double>(left_out) / absent;
  MESSAGE("present and attached ", kept, " of ", present, " (", sensitivity, "); absent and left out ", left_out, " of ", absent, " (", specificity, ")", wrong);
  CHECK(sensitivity >= 0.99);
  CHECK(specificity >= 0.92);
}
