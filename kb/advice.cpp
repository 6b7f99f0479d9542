#include <algorithm>

#include "kb/reading.h"

namespace kb {
namespace {

bool listed(const std::vector<std::string>& list, const std::string& value) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

bool fits(const Knowledge& k, const AdviceRow& row, const Finding& f) {
  const Material* m = k.material(f.id);
  if (row.any != 0 && (f.conditions & row.any) == 0) return false;
  if ((f.conditions & row.all) != row.all) return false;
  if ((f.conditions & row.without) != 0) return false;
  if (!row.friability.empty() && (m == nullptr || !listed(row.friability, m->friability))) return false;
  if (!row.tested.empty() && !listed(row.tested, f.tested)) return false;
  if (!row.materials.empty() && !listed(row.materials, f.id)) return false;
  if (!row.severity.empty() && row.severity != f.severity) return false;
  if (!row.unstated.empty() && (m == nullptr || m->unstated != row.unstated)) return false;
  return !row.stated || *row.stated == f.stated;
}

}  // namespace

std::string stronger(const Knowledge& k, const std::string& a, const std::string& b) {
  const auto rank = [&](const std::string& v) { return std::find(k.advice_order.begin(), k.advice_order.end(), v); };
  return rank(a) < rank(b) ? b : a;
}

void advise(const Knowledge& k, Finding& f) {
  for (const AdviceRow& row : k.advice_rows) {
    if (!fits(k, row, f)) continue;
    f.advice = row.advice;
    f.because = row.because;
    return;
  }
}

}  // namespace kb
