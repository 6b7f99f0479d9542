#include "indexer/front_matter.h"

#include <algorithm>
#include <charconv>
#include <utility>

#include "indexer/value_checks.h"

namespace indexer {
namespace {

constexpr int kFirstYear = 1800;
constexpr int kLastYear = 2100;

void check_years(const Value& value, ValueChecks& checks) {
  if (!checks.map("years", value, {"from", "to", "soft-end"}, {})) return;
  const auto year = [&](const char* key) {
    return checks.number(std::string("years: ") + key, value.find(key), kFirstYear, kLastYear);
  };
  const auto from = year("from");
  const auto to = year("to");
  if (from && to && *from > *to)
    checks.report(Rule::wrong_range, value.find("to")->place,
                  "years run backwards, from " + std::to_string(*from) + " to " +
                      std::to_string(*to) + "; write the earlier one under 'from'");
  if (const Value* end = value.find("soft-end")) checks.text("soft-end", *end);
}

void check_percent(const Value& value, ValueChecks& checks) {
  if (!value.is_list() || value.items.size() != 2) {
    checks.report(Rule::wrong_form, value.place,
                  "'percent' is no pair; write [lo, hi], or leave it out");
    return;
  }
  const auto lo = checks.share(value.items[0]);
  const auto hi = checks.share(value.items[1]);
  if (lo && hi && *lo > *hi)
    checks.report(Rule::wrong_range, value.place, "'percent' runs backwards; write [lo, hi]");
}

void check_asbestos(const Value& value, ValueChecks& checks) {
  if (!checks.map("asbestos", value, {"minerals"}, {"percent"})) return;
  if (const Value* percent = value.find("percent")) check_percent(*percent, checks);
  if (const Value* minerals = value.find("minerals")) checks.texts("minerals", *minerals, true);
}

void check_us_line(const Value& value, ValueChecks& checks) {
  if (!checks.map("us-line", value, {"basis", "year"}, {})) return;
  if (const Value* basis = value.find("basis"))
    checks.word("basis", *basis, {"building", "installation"}, "building or installation");
  checks.number("us-line: year", value.find("year"), kFirstYear, kLastYear);
}

void check_source(const Value& value, ValueChecks& checks) {
  if (!checks.map("sources", value, {"cite", "backs", "status"}, {"note"})) return;
  if (const Value* cite = value.find("cite")) checks.text("cite", *cite);
  if (const Value* backs = value.find("backs")) checks.texts("backs", *backs, true);
  if (const Value* note = value.find("note")) checks.text("note", *note);
  if (const Value* status = value.find("status"))
    checks.word("status", *status, {"published", "second-hand", "common practice", "from memory"},
                "published, second-hand, common practice or from memory");
}

void check_sources(const Value& value, ValueChecks& checks) {
  if (!value.is_list() || value.items.empty()) {
    checks.report(Rule::wrong_form, value.place,
                  "'sources' is no list with an entry; write '- cite: ...' with backs and status");
    return;
  }
  for (const Value& source : value.items) check_source(source, checks);
}

void check_names(const Key& key, const Value& value, ValueChecks& checks) {
  if (!checks.texts(key.name, value, key.name == "names", Rule::empty_name)) return;
  for (const Value& name : value.items)
    if (name.is_text() && !has_word(name.text))
      checks.report(
          Rule::empty_name, name.place,
          "'" + name.text + "' in '" + key.name + "' holds no word; write a name or take it out");
}

void check_links(const Key& key, const Value& value, ValueChecks& checks) {
  if (!checks.texts(key.name, value, false)) return;
  for (auto item = value.items.begin(); item != value.items.end(); ++item) {
    const bool again = std::any_of(value.items.begin(), item,
                                   [&](const Value& other) { return other.text == item->text; });
    if (again)
      checks.report(Rule::repeated_entry, item->place,
                    "'" + item->text + "' stands twice in '" + key.name + "'; keep one of them");
  }
}

void check_digits(const Key& key, const Value& value, ValueChecks& checks) {
  if (!value.is_map()) return checks.report(Rule::wrong_form, value.place, "'" + key.name + "' is no mapping; write " + key.hint);
  for (const Member& member : value.members)
    if (!member.value.is_text() || member.value.text.size() != 8 || member.value.text.find_first_not_of("0123456789abcdef") != std::string::npos)
      checks.report(Rule::wrong_value, member.value.place, "'" + key.name + "' of '" + member.key + "' is not eight hex digits; letbe-index tells the right ones");
}

void check_value(const Key& key, const Value& value, ValueChecks& checks) {
  switch (key.shape) {
    case Shape::text:
      checks.text(key.name, value);
      break;
    case Shape::word:
      checks.word(key.name, value, key.words, key.hint);
      break;
    case Shape::date:
      checks.date(key.name, value);
      break;
    case Shape::names:
      check_names(key, value, checks);
      break;
    case Shape::texts:
      checks.texts(key.name, value, false);
      break;
    case Shape::links:
      check_links(key, value, checks);
      break;
    case Shape::years:
      check_years(value, checks);
      break;
    case Shape::asbestos:
      check_asbestos(value, checks);
      break;
    case Shape::us_line:
      check_us_line(value, checks);
      break;
    case Shape::seen_as:
      checks.seen_as(value);
      break;
    case Shape::sources:
      check_sources(value, checks);
      break;
    case Shape::digits:
      check_digits(key, value, checks);
      break;
  }
}

std::vector<std::string> keys_of(const Kind& kind) {
  std::vector<std::string> out;
  for (const Key& key : all_keys())
    if (key.allowed(kind)) out.push_back(key.name);
  return out;
}

void check_member(const Member& member, const Kind& kind, ValueChecks& checks) {
  const Key* key = key_by_name(member.key);
  if (key == nullptr) {
    const std::vector<std::string> allowed = keys_of(kind);
    checks.report(
        Rule::unknown_key, member.place,
        "unknown key '" + member.key + "'" +
            or_nearest(member.key, allowed, "a " + kind.name + " has " + joined(allowed)));
  } else if (!key->allowed(kind)) {
    checks.report(Rule::unknown_key, member.place,
                  "key '" + member.key + "' does not belong to a " + kind.name + "; take it out");
  } else {
    check_value(*key, member.value, checks);
  }
}

std::vector<std::string> strings_in(const Value* value) {
  std::vector<std::string> out;
  if (value == nullptr || !value->is_list()) return out;
  for (const Value& item : value->items)
    if (item.is_text()) out.push_back(item.text);
  return out;
}

SeenAs one_seen_as(const Value& value) {
  SeenAs rule;
  if (const Value* groups = value.find("all-of"); groups != nullptr && groups->is_list())
    for (const Value& group : groups->items) rule.all_of.push_back(strings_in(&group));
  rule.any_of = strings_in(value.find("for"));
  rule.against = strings_in(value.find("against"));
  return rule;
}

}  // namespace

void check_front(const Value& front, const Kind& kind, bool whole, Problems& problems) {
  ValueChecks checks(problems);
  for (const Member& member : front.members) check_member(member, kind, checks);
  checks.no_web_links(front);
  for (const Key& key : all_keys()) {
    const bool needed = whole ? key.needed(kind) : key.name == "id" || key.name == "kind";
    if (needed && front.find(key.name) == nullptr && !misspelt(key.name, front, keys_of(kind)))
      checks.report(Rule::missing_key, {front.place.file, 1},
                    "missing key '" + key.name + "' (" + key.hint + ")");
  }
}

std::string text_under(const Value& front, std::string_view key) {
  const Value* value = front.find(key);
  return value != nullptr && value->is_text() ? value->text : std::string();
}

std::vector<Text> texts_under(const Value& front, std::string_view key) {
  std::vector<Text> out;
  const Value* value = front.find(key);
  if (value == nullptr || !value->is_list()) return out;
  for (const Value& item : value->items)
    if (item.is_text()) out.push_back({item.text, item.place});
  return out;
}

std::vector<Link> links_of(const Value& front) {
  std::vector<Link> out;
  for (const Key& key : all_keys()) {
    if (key.shape != Shape::links) continue;
    for (Text& text : texts_under(front, key.name))
      out.push_back({key.name, std::move(text.text), text.place});
  }
  return out;
}

std::optional<Years> years_of(const Value& front) {
  const Value* value = front.find("years");
  if (value == nullptr || value->find("from") == nullptr || value->find("to") == nullptr) return {};
  const auto first = whole_number(*value->find("from"));
  const auto last = whole_number(*value->find("to"));
  if (!first || !last) return {};
  return Years{*first, *last, text_under(*value, "soft-end")};
}

std::vector<SeenAs> seen_as_of(const Value& front) {
  std::vector<SeenAs> out;
  const Value* value = front.find("seen-as");
  if (value == nullptr) return out;
  if (value->is_map()) out.push_back(one_seen_as(*value));
  for (const Value& item : value->items) out.push_back(one_seen_as(item));
  return out;
}

std::optional<int> whole_number(const Value& value) {
  if (!value.is_text() || value.text.empty() || value.text.size() > 9) return {};
  int number = 0;
  const char* end = value.text.data() + value.text.size();
  const auto [stop, error] = std::from_chars(value.text.data(), end, number);
  if (error != std::errc() || stop != end || number < 0) return {};
  return number;
}

}  // namespace indexer
