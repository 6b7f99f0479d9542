#include "kb/usage.h"

#include <algorithm>
#include <map>

#include "kb/text.h"

namespace kb {
namespace {

// Runs a query of (material's key, text) and hands each row to its material.
template <typename Take>
void each_row(const Database& db, std::string_view sql, std::map<std::int64_t, Usage>& by_key, Take take) {
  Statement s = db.query(sql);
  while (s.step())
    if (const auto place = by_key.find(s.integer(0)); place != by_key.end()) take(place->second, s.text(1));
}

void take_look(Usage& u, const std::string& body) {
  if (!u.look.empty()) return;
  u.look = first_sentence(body);
  std::erase_if(u.look, [](char c) { return c == '*' || c == '`'; });  // Marks of markdown; no look has any other.
}

}  // namespace

std::vector<Usage> load_usage(const Database& db) {
  std::map<std::int64_t, Usage> by_key;  // Keys are in the order of ids.
  Statement s = db.query("SELECT key, id, title, first, last, soft_end<>'', friability FROM article JOIN years ON article=key WHERE kind='material'");
  while (s.step()) {
    Usage& u = by_key[s.integer(0)];
    u.id = s.text(1);
    u.title = s.text(2);
    u.from = static_cast<int>(s.integer(3));
    u.to = static_cast<int>(s.integer(4));
    u.soft = s.integer(5) != 0;
    u.friability = s.text(6);
  }
  each_row(db, "SELECT source, target FROM link WHERE role='systems' ORDER BY source, seq", by_key,
           [](Usage& u, std::string id) { u.systems.push_back(std::move(id)); });
  each_row(db, "SELECT source, target FROM link WHERE role='look-also' ORDER BY source, seq", by_key,
           [](Usage& u, std::string id) { u.look_also.push_back(std::move(id)); });
  each_row(db, "SELECT article, text FROM place ORDER BY article, seq", by_key,
           [](Usage& u, std::string place) { u.places.push_back(std::move(place)); });
  each_row(db, "SELECT article, body FROM section WHERE level=2 AND heading IN ('In short','How it looks') ORDER BY heading<>'In short'",
           by_key, take_look);
  std::vector<Usage> out;
  for (auto& [key, material] : by_key) out.push_back(std::move(material));
  std::sort(out.begin(), out.end(), [](const Usage& a, const Usage& b) { return a.id < b.id; });
  return out;
}

Fit fit_of(const Usage& m, int built, int near) {
  if (built < m.from) return built >= m.from - near ? Fit::possible : Fit::later_work;
  if (built <= m.to) return Fit::likely;
  return built <= m.to + near ? Fit::possible : Fit::reuse;
}

std::string first_sentence(std::string_view text) {
  std::size_t end = 0;
  for (; end < text.size(); ++end)
    if (text[end] == '.' && (end + 1 == text.size() || text[end + 1] == ' ' || text[end + 1] == '\n')) return single_blanks(text.substr(0, end + 1));
  return single_blanks(text);
}

}  // namespace kb
