// Links that have to lead both ways: materials and systems, materials and eras, and the rules of a material.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/corpus.h"
#include "indexer/problem.h"

namespace indexer {

// A walk through a house goes from a system or an era to its materials, a reader of one material goes to its
// systems: what only one of the two pages says, half of the readers never meet. Takes page by page and tells
// at the end. What it keeps of a page is its links and years; corpus and sources must outlive it.
class LinkChecks {
 public:
  LinkChecks(const Corpus& corpus, Problems& problems);

  void run(const Page& page);
  void finish();

 private:
  // `from` names `to` at `place`.
  struct Named {
    std::string_view from, to;
    Place place;
  };
  struct Used {
    int first = 0;
    int last = 0;
    Place place;  // Of the key `years`.
  };

  void check_systems();
  void check_eras();
  void take_material(std::string_view id, const Page& page);
  void take_years(std::string_view id, const Page& page, std::map<std::string_view, Used>& into);
  std::vector<Named> links(std::string_view id, const Page& page, std::string_view key, std::string_view kind) const;
  bool is(std::string_view id, std::string_view kind) const;

  const Corpus& corpus_;
  Problems& problems_;
  bool has_rules_ = false;
  std::vector<Named> systems_of_materials_, materials_of_systems_, materials_of_eras_;
  std::map<std::string_view, Used> materials_, eras_;  // Those whose years could be read.
  std::set<std::string_view> without_systems_;         // The key is missing, which has been reported.
};

}  // namespace indexer
