// Links that have to lead both ways, each broken in a corpus that is sound without it.
#include <doctest/doctest.h>

#include <string>

#include "tests/unit/pages_for_tests.h"

namespace {

constexpr const char* kMaterial = "materials/lint-material.md";
constexpr const char* kOther = "materials/lint-other.md";
constexpr const char* kSystem = "systems/lint-system.md";
constexpr const char* kEra = "eras/lint-era.md";

std::string material(const std::string& systems, const std::string& rules, const std::string& years) {
  return small_material("lint-material", systems, rules, years);
}

std::string era(const std::string& id, const std::string& years, const std::string& look_also) {
  return small_page("era", id, "years: {" + years + ", soft-end: Styles went on.}\nlook-also: [" + look_also + "]\n");
}

std::string found(std::vector<indexer::SourceFile> files) { return report(problems_of({base_folder(std::move(files))})); }

// Without the pages of one kind, and without what links to them.
std::string found_without(const std::string& folder_of_kind, std::vector<indexer::SourceFile> files) {
  indexer::SourceFolder folder = base_folder(std::move(files));
  std::erase_if(folder.files, [&](const auto& file) { return file.relative.starts_with(folder_of_kind); });
  return report(problems_of({folder}));
}

}  // namespace

TEST_CASE("a corpus whose links lead both ways has no fault") { CHECK(found({}).empty()); }

TEST_CASE("a material and a system name each other") {
  CHECK(found({source("a", kSystem, small_page("system", "lint-system", "look-also: [lint-other]\n"))}) ==
        "a/materials/lint-material.md:7: 'lint-system' does not name 'lint-material' under look-also; add it there, or take the system out here [KB047]\n");
  // The other way round: the material belongs to a second system only.
  CHECK(found({source("a", kMaterial, material("lint-second", "lint-rule", "from: 1920, to: 1978")),
               source("a", "systems/lint-second.md", small_page("system", "lint-second", "look-also: [lint-material]\n"))}) ==
        "a/systems/lint-system.md:7: 'lint-material' does not name 'lint-system' under systems; add it there, or take the material out here [KB047]\n");
  // Pages of other kinds under look-also are none of its business.
  CHECK(found({source("a", kSystem, small_page("system", "lint-system", "look-also: [lint-material, lint-other, lint-rule]\n"))}).empty());
}

TEST_CASE("a missing list of systems is told once") {
  const std::string page = material("lint-system", "lint-rule", "from: 1920, to: 1978");
  CHECK(found({source("a", kMaterial, replaced(page, "systems: [lint-system]\n", ""))}) ==
        "a/materials/lint-material.md:1: missing key 'systems' (a list of system ids) [KB003]\n");
}

TEST_CASE("an era names materials of its own years only") {
  const std::string outside =
      "a/eras/lint-era.md:8: 'lint-material' was used from 1960 to 1978, outside the years of this era (1940 to 1959); take it out of "
      "look-also, its mention in the text may stay [KB049]\n";
  CHECK(found({source("a", kMaterial, material("lint-system", "lint-rule", "from: 1960, to: 1978")),
               source("a", "eras/lint-mixed.md", era("lint-mixed", "from: 1800, to: 2100", "lint-material"))}) == outside);
  CHECK(found({source("a", kMaterial, material("lint-system", "lint-rule", "from: 1800, to: 1939")),
               source("a", "eras/lint-mixed.md", era("lint-mixed", "from: 1800, to: 2100", "lint-material"))})
            .find("outside the years of this era (1940 to 1959)") != std::string::npos);
  // One year in common is enough.
  CHECK(found({source("a", kMaterial, material("lint-system", "lint-rule", "from: 1959, to: 1978"))}).empty());
  CHECK(found({source("a", kMaterial, material("lint-system", "lint-rule", "from: 1900, to: 1940"))}).empty());
}

TEST_CASE("each material is named by an era of its years") {
  CHECK(found({source("a", kEra, era("lint-era", "from: 1940, to: 1959", "lint-other"))}) ==
        "a/materials/lint-material.md:9: no era of the years 1920 to 1978 names 'lint-material' under look-also; add it to 'lint-era' or another "
        "of them [KB048]\n");
  CHECK(found({source("a", kMaterial, material("lint-system", "lint-rule", "from: 1960, to: 1978")),
               source("a", kEra, era("lint-era", "from: 1940, to: 1959", "lint-other"))}) ==
        "a/materials/lint-material.md:9: no era of the years 1960 to 1978 names 'lint-material' under look-also; write an era of those years [KB048]\n");
  CHECK(found_without("eras/", {}).empty());
}

TEST_CASE("each material names a rule where there is one") {
  CHECK(found({source("a", kMaterial, material("lint-system", "", "from: 1920, to: 1978"))}) ==
        "a/materials/lint-material.md:18: no entry under 'rules'; name at least one rule that speaks of this material [KB050]\n");
  const std::string other = small_material("lint-other", "lint-system", "", "from: 1920, to: 1978");
  CHECK(found_without("rules/", {source("a", kMaterial, material("lint-system", "", "from: 1920, to: 1978")), source("a", kOther, other)}).empty());
}

TEST_CASE("a firm's page that changes one side only is told") {
  const std::string patch = "---\nid: lint-system\nkind: system\nlook-also: [lint-other]\n---\n";
  CHECK(report(problems_of({base_folder({}), {"b", {source("b", kSystem, patch)}}})).find("[KB047]\n") != std::string::npos);
}
