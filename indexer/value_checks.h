// Checks of single values, as the keys of the front matter need them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/problem.h"
#include "indexer/yaml_value.h"

namespace indexer {

// Does `map` hold a key that is nearest to `key` among `known`? Then `key` is not missing as well:
// one slip, one message.
bool misspelt(const std::string& key, const Value& map, std::span<const std::string> known);
// Does `text` hold a word or a number?
bool has_word(std::string_view text);
// Does `text` hold a web address?
bool has_web_link(std::string_view text);

// Each check reports what is wrong and returns whether the value can be used. `key` is for
// messages.
class ValueChecks {
 public:
  explicit ValueChecks(Problems& problems) : problems_(problems) {}

  void report(Rule rule, Place place, std::string message) {
    problems_.add(rule, place, std::move(message));
  }

  // One line of text that is not empty.
  bool text(const std::string& key, const Value& value, Rule when_empty = Rule::wrong_form);
  // A list of such; `filled`: with at least one entry.
  bool texts(const std::string& key, const Value& value, bool filled,
             Rule when_empty = Rule::wrong_form);
  // A text that is one of `words`; `hint` lists them for the message.
  bool word(const std::string& key, const Value& value, const std::vector<std::string>& words,
            const std::string& hint);
  // A day of the calendar, YYYY-MM-DD.
  bool date(const std::string& key, const Value& value);
  // A mapping with all of `needed` and no key beyond `allowed`.
  bool map(const std::string& key, const Value& value, const std::vector<std::string>& needed,
           const std::vector<std::string>& allowed);
  // A whole number in [lo, hi]; nothing (and no report) for a missing value.
  std::optional<int> number(const std::string& key, const Value* value, int lo, int hi);
  // A share of a hundred, with or without decimals.
  std::optional<double> share(const Value& value);
  // A seen-as mapping or a list of them.
  void seen_as(const Value& value);
  // Reports web addresses anywhere in `value`.
  void no_web_links(const Value& value);

 private:
  void one_seen_as(const Value& value);
  void word_list(const std::string& key, const Value& value);

  Problems& problems_;
};

}  // namespace indexer
