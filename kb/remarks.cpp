#include "kb/remarks.h"

#include <algorithm>

namespace kb {
namespace {

std::string words_of(std::string_view note, Span span) { return to_valid_utf8(note.substr(span.begin, span.end - span.begin)); }

}  // namespace

void add_remarks(const Scene& s, const ObservationReading& reading, std::vector<Remark>& out) {
  if (reading.findings.empty()) return;
  const Knowledge& k = *s.knowledge;
  for (const Match& m : longest(s.of(Cue::remark))) {
    if (s.sentences[s.sentence_of[m.first]].heading) continue;
    const RemarkRule& rule = k.remark_rules[static_cast<std::size_t>(m.tag.item)];
    const Span span = s.span(m);
    out.push_back({span, filled(rule.text, "{words}", words_of(s.note, span))});
  }
  const Span heading = reading.layout.heading, label = reading.layout.label;
  const bool headed = heading.end > heading.begin || label.end > label.begin;
  bool photo = false;
  for (const Finding& f : reading.findings) {
    const Span span = f.evidence.empty() ? reading.layout.span : f.evidence.front().span;
    if (f.places.empty() && !headed) out.push_back({span, filled(k.place_missing, "{title}", f.title)});
    if (f.extents.empty()) out.push_back({span, filled(k.extent_missing, "{title}", f.title)});
    photo = photo || (f.conditions & k.states & ~k.bit("intact")) != 0;
  }
  if (!photo) return;
  const bool told = std::any_of(out.begin(), out.end(), [&](const Remark& r) { return r.text == k.photo; });
  if (!told) out.push_back({reading.layout.span, k.photo});
}

}  // namespace kb
