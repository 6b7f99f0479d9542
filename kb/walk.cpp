#include "kb/walk.h"

#include <algorithm>
#include <map>
#include <optional>
#include <tuple>

namespace kb {
namespace {

bool holds(const std::vector<std::string>& list, const std::string& value) { return std::find(list.begin(), list.end(), value) != list.end(); }

bool share(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  return std::any_of(a.begin(), a.end(), [&](const std::string& x) { return holds(b, x); });
}

// Where the words of `part` stand in `phrase` as whole words.
std::size_t find_words(std::string_view phrase, std::string_view part) {
  for (std::size_t at = phrase.find(part); at != std::string_view::npos; at = phrase.find(part, at + 1)) {
    const std::size_t end = at + part.size();
    if ((at == 0 || phrase[at - 1] == ' ') && (end == phrase.size() || phrase[end] == ' ')) return at;
  }
  return std::string_view::npos;
}

// The stop that a place belongs to: most words, then first in the place, then first in walking order.
std::optional<std::size_t> stop_of_place(const std::string& place, const WalkWords& words) {
  std::optional<std::size_t> best;
  std::pair<std::ptrdiff_t, std::size_t> best_rank;
  for (std::size_t i = 0; i < words.stops.size(); ++i)
    for (const std::string& entry : words.stops[i].places) {
      const std::size_t at = find_words(place, entry);
      if (at == std::string_view::npos) continue;
      const std::pair rank{-std::count(entry.begin(), entry.end(), ' '), at};
      if (best && rank >= best_rank) continue;
      best = i;
      best_rank = rank;
    }
  return best;
}

std::optional<std::size_t> stop_listing(std::vector<std::string> WalkStop::*list, const std::string& id, const WalkWords& words) {
  for (std::size_t i = 0; i < words.stops.size(); ++i)
    if (holds(words.stops[i].*list, id)) return i;
  return std::nullopt;
}

class Planner {
 public:
  Planner(const Database& db, const WalkOptions& options) : all_(load_usage(db)) {
    out_.asked = options;
    out_.words = load_walk_words(db);
    for (const Usage& u : all_) by_id_[u.id] = &u;
  }

  Walk run() {
    look_first();
    for (const WalkStop& stop : out_.words.stops) out_.places.push_back({stop, {}, {}, {}});
    for (const Usage& u : all_)
      if (wanted(u)) place(u);
    for (WalkPlace& p : out_.places) sort(p.items);
    std::erase_if(out_.places, [](const WalkPlace& p) { return p.items.empty() && p.also.empty() && p.reuse.empty(); });
    return std::move(out_);
  }

 private:
  bool seen(const std::string& id) const { return holds(out_.asked.seen, id); }
  bool wanted(const Usage& u) const { return !seen(u.id) && (out_.asked.systems.empty() || share(u.systems, out_.asked.systems)); }
  Fit fit(const Usage& u) const { return fit_of(u, out_.asked.built, out_.words.near_years); }

  WalkItem item(const Usage& u) const {
    WalkItem out;
    out.material = u;
    out.fit = fit(u);
    if (const WalkMark* mark = out_.words.mark_of(u)) out.mark = mark->id;
    for (const std::string& id : u.look_also) {
      const auto other = by_id_.find(id);
      if (out.with.size() < out_.words.most_with && other != by_id_.end() && fit(*other->second) != Fit::reuse) out.with.push_back(id);
    }
    return out;
  }

  void place(const Usage& u) {
    const std::vector<std::size_t> stops = stops_of(u, out_.words);
    if (stops.empty()) return;
    const bool told = std::any_of(out_.first.begin(), out_.first.end(), [&](const WalkFirst& f) { return f.material.id == u.id; });
    if (told) {
      for (const std::size_t stop : stops) out_.places[stop].also.push_back(u.id);
    } else if (fit(u) == Fit::reuse) {
      out_.places[stops.front()].reuse.push_back(u.id);
    } else {
      out_.places[stops.front()].items.push_back(item(u));
      for (std::size_t i = 1; i < stops.size(); ++i) out_.places[stops[i]].also.push_back(u.id);
    }
  }

  std::size_t mark_rank(const WalkItem& i) const {
    const auto& marks = out_.words.marks;
    return static_cast<std::size_t>(std::find_if(marks.begin(), marks.end(), [&](const WalkMark& m) { return m.id == i.mark; }) - marks.begin());
  }
  void sort(std::vector<WalkItem>& items) const {
    std::stable_sort(items.begin(), items.end(), [&](const WalkItem& a, const WalkItem& b) {
      return std::tuple(a.fit, mark_rank(a)) < std::tuple(b.fit, mark_rank(b));
    });
  }

  // A seen material that names the other has two votes, one that the other names has one.
  void look_first() {
    std::vector<std::tuple<int, Fit, WalkFirst>> ranked;
    for (const Usage& u : all_) {
      if (!wanted(u)) continue;
      WalkFirst first;
      int votes = 0;
      for (const std::string& id : out_.asked.seen) {
        const auto place = by_id_.find(id);
        if (place == by_id_.end()) continue;
        const int by_seen = holds(place->second->look_also, u.id) ? 2 : 0, by_itself = holds(u.look_also, id) ? 1 : 0;
        votes += 2 * (by_seen + by_itself);
        if (by_seen + by_itself > 0) first.beside.push_back(id);
        if (!u.systems.empty() && !place->second->systems.empty() && u.systems.front() == place->second->systems.front()) {
          ++votes;
          first.same_system.push_back(id);
        }
      }
      if (first.beside.empty()) continue;
      static_cast<WalkItem&>(first) = item(u);
      ranked.emplace_back(votes, first.fit, std::move(first));
    }
    std::stable_sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) {
      return std::tuple(-std::get<0>(a), std::get<1>(a)) < std::tuple(-std::get<0>(b), std::get<1>(b));
    });
    for (auto& [votes, fit, first] : ranked)
      if (out_.first.size() < out_.words.most_first) out_.first.push_back(std::move(first));
  }

  const std::vector<Usage> all_;
  std::map<std::string, const Usage*, std::less<>> by_id_;
  Walk out_;
};

}  // namespace

std::vector<std::size_t> stops_of(const Usage& u, const WalkWords& words) {
  std::vector<std::size_t> by_place;
  for (const std::string& place : u.places)
    if (const auto stop = stop_of_place(place, words)) by_place.push_back(*stop);
  std::optional<std::size_t> main = stop_listing(&WalkStop::materials, u.id, words);
  if (!main && !by_place.empty()) main = by_place.front();
  for (const std::string& system : u.systems)
    if (!main) main = stop_listing(&WalkStop::systems, system, words);
  if (!main) return {};
  std::sort(by_place.begin(), by_place.end());
  by_place.erase(std::unique(by_place.begin(), by_place.end()), by_place.end());
  std::erase(by_place, *main);
  by_place.insert(by_place.begin(), *main);
  return by_place;
}

Walk plan_walk(const Database& db, const WalkOptions& options) { return Planner(db, options).run(); }

}  // namespace kb
