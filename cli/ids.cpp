#include "cli/ids.h"

#include <algorithm>

#include "cli/commands.h"
#include "kb/articles.h"

namespace cli {

bool is_article(const kb::Database& db, const std::string& id, const std::string& kind) {
  const auto same = [&](const kb::ArticleInfo& a) { return a.id == id && a.kind == kind; };
  const auto written = kb::list_articles(db, kind);
  return std::any_of(written.begin(), written.end(), same);
}

bool all_known(const kb::Database& db, const std::vector<std::string>& ids, const std::string& kind) {
  for (const std::string& id : ids) {
    if (is_article(db, id, kind)) continue;
    std::string near;
    for (const std::string& n : kb::nearest_ids(db, id, 20))
      if (near.empty() && is_article(db, n, kind)) near = n;
    complain("unknown " + kind + " '" + id + "'; " + (near.empty() ? "letbe list --kind " + kind + " shows them" : "did you mean '" + near + "'?"));
    return false;
  }
  return true;
}

}  // namespace cli
