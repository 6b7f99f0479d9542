// Ids that were typed: are they there, and what to say when they are not.
#pragma once

#include <string>
#include <vector>

#include "kb/database.h"

namespace cli {

// Is `id` an article of `kind`, written or planned?
bool is_article(const kb::Database& db, const std::string& id, const std::string& kind);

// True when each of `ids` is an article of `kind`; else complains of the first that is none, with the
// nearest one that is.
bool all_known(const kb::Database& db, const std::vector<std::string>& ids, const std::string& kind);

}  // namespace cli
