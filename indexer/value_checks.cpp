#include "indexer/value_checks.h"

#include <algorithm>
#include <charconv>
#include <chrono>

#include "indexer/front_matter.h"
#include "kb/text.h"

namespace indexer {
namespace {

bool blank(std::string_view text) {
  return text.find_first_not_of(" \t\n") == std::string_view::npos;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::optional<double> decimal(const std::string& text) {
  double number = 0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, number, std::chars_format::fixed);
  const bool plain = !text.empty() && is_digit(text.front()) && is_digit(text.back());
  if (error != std::errc() || stop != end || !plain) return {};
  return number;
}

bool is_day(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  const auto part = [&](std::size_t at, std::size_t length) {
    int number = -1;
    const char* end = text.data() + at + length;
    const auto [stop, error] = std::from_chars(text.data() + at, end, number);
    return error == std::errc() && stop == end ? number : -1;
  };
  const int month = part(5, 2);
  const int day = part(8, 2);
  if (month < 0 || day < 0) return false;
  return std::chrono::year_month_day(std::chrono::year(part(0, 4)),
                                     std::chrono::month(static_cast<unsigned>(month)),
                                     std::chrono::day(static_cast<unsigned>(day)))
      .ok();
}

}  // namespace

bool misspelt(const std::string& key, const Value& map, std::span<const std::string> known) {
  return std::any_of(map.members.begin(), map.members.end(), [&](const Member& member) {
    const std::string* meant = nearest(member.key, known);
    return meant != nullptr && *meant == key;
  });
}

bool has_word(std::string_view text) {
  const auto plain = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || is_digit(c); };
  if (std::any_of(text.begin(), text.end(), plain)) return true;
  const auto tokens = kb::split(text);
  return std::any_of(tokens.begin(), tokens.end(),
                     [](const kb::RawToken& t) { return t.kind != kb::RawToken::Kind::mark; });
}

bool has_web_link(std::string_view text) {
  return text.find("://") != std::string_view::npos || text.find("www.") != std::string_view::npos;
}

bool ValueChecks::text(const std::string& key, const Value& value, Rule when_empty) {
  if (value.is_list() || value.is_map()) {
    report(Rule::wrong_form, value.place, "'" + key + "' is no text; write one line of text");
    return false;
  }
  if (blank(value.text)) {
    report(when_empty, value.place, "'" + key + "' is empty; write its text or take it out");
    return false;
  }
  if (value.text.find('\n') != std::string::npos) {
    report(Rule::wrong_form, value.place, "'" + key + "' runs over several lines; write one line");
    return false;
  }
  return true;
}

bool ValueChecks::texts(const std::string& key, const Value& value, bool filled, Rule when_empty) {
  if (!value.is_list()) {
    report(Rule::wrong_form, value.place, "'" + key + "' is no list; write [one, two]");
    return false;
  }
  if (filled && value.items.empty())
    report(Rule::wrong_form, value.place,
           "'" + key + "' is an empty list; write at least one entry");
  for (const Value& item : value.items) text(key, item, when_empty);
  return true;
}

bool ValueChecks::word(const std::string& key, const Value& value,
                       const std::vector<std::string>& words, const std::string& hint) {
  if (!text(key, value)) return false;
  if (std::find(words.begin(), words.end(), value.text) != words.end()) return true;
  report(Rule::wrong_value, value.place,
         "'" + value.text + "' is no " + key + or_nearest(value.text, words, "write " + hint));
  return false;
}

bool ValueChecks::date(const std::string& key, const Value& value) {
  if (!text(key, value)) return false;
  if (is_day(value.text)) return true;
  report(Rule::wrong_value, value.place,
         "'" + value.text + "' is no date; write '" + key + "' as YYYY-MM-DD");
  return false;
}

bool ValueChecks::map(const std::string& key, const Value& value,
                      const std::vector<std::string>& needed,
                      const std::vector<std::string>& allowed) {
  std::vector<std::string> known = needed;
  known.insert(known.end(), allowed.begin(), allowed.end());
  if (!value.is_map()) {
    report(Rule::wrong_form, value.place,
           "'" + key + "' is no mapping; write '" + joined(known) + "' with a value each");
    return false;
  }
  const auto unknown = [&](const Member& member) {
    report(Rule::unknown_key, member.place,
           "unknown key '" + member.key + "' under '" + key + "'" +
               or_nearest(member.key, known, "it has " + joined(known)));
  };
  for (const Member& member : value.members)
    if (std::find(known.begin(), known.end(), member.key) == known.end()) unknown(member);
  for (const std::string& name : needed)
    if (value.find(name) == nullptr && !misspelt(name, value, known))
      report(Rule::missing_key, value.place,
             "missing key '" + name + "' under '" + key + "'; it needs " + joined(needed));
  return true;
}

std::optional<int> ValueChecks::number(const std::string& key, const Value* value, int lo, int hi) {
  if (value == nullptr) return {};
  const auto number = whole_number(*value);
  if (!number) {
    report(Rule::wrong_form, value->place, "'" + key + "' is no whole number; write digits only");
  } else if (*number < lo || *number > hi) {
    report(Rule::wrong_range, value->place,
           "'" + key + "' is " + value->text + "; write a number from " + std::to_string(lo) +
               " to " + std::to_string(hi));
    return {};
  }
  return number;
}

std::optional<double> ValueChecks::share(const Value& value) {
  const auto number = value.is_text() ? decimal(value.text) : std::nullopt;
  if (!number) {
    report(Rule::wrong_form, value.place, "'percent' holds no number; write [lo, hi] in digits");
  } else if (*number > 100) {
    report(Rule::wrong_range, value.place, "'percent' is over 100; write a share from 0 to 100");
    return {};
  }
  return number;
}

void ValueChecks::word_list(const std::string& key, const Value& value) {
  const bool usable = value.is_list() && !value.items.empty() &&
                      std::all_of(value.items.begin(), value.items.end(), [](const Value& item) {
                        return item.is_text() && has_word(item.text);
                      });
  if (!usable)
    report(Rule::malformed_seen_as, value.place,
           "'" + key +
               "' is no list of words; write [word, two words], quoted where YAML asks for it");
}

void ValueChecks::one_seen_as(const Value& value) {
  if (!value.is_map() || value.find("all-of") == nullptr) {
    report(Rule::malformed_seen_as, value.place,
           "a 'seen-as' rule without 'all-of'; write {all-of: [[words], [words]], for, against}");
    return;
  }
  for (const Member& member : value.members) {
    if (member.key == "all-of") {
      if (!member.value.is_list() || member.value.items.empty())
        report(Rule::malformed_seen_as, member.place,
               "'all-of' is no list of lists; write [[words], [words]]");
      for (const Value& group : member.value.items) word_list("all-of", group);
    } else if (member.key == "for" || member.key == "against") {
      word_list(member.key, member.value);
    } else {
      report(Rule::malformed_seen_as, member.place,
             "unknown key '" + member.key + "' under 'seen-as'; it has all-of, for and against");
    }
  }
}

void ValueChecks::seen_as(const Value& value) {
  if (!value.is_list()) return one_seen_as(value);
  if (value.items.empty())
    report(Rule::malformed_seen_as, value.place,
           "'seen-as' is an empty list; write at least one rule");
  for (const Value& item : value.items) one_seen_as(item);
}

void ValueChecks::no_web_links(const Value& value) {
  if (value.is_text() && has_web_link(value.text))
    report(Rule::unsafe_markup, value.place,
           "a web address; name the document and its paragraph instead");
  for (const Value& item : value.items) no_web_links(item);
  for (const Member& member : value.members) no_web_links(member.value);
}

}  // namespace indexer
