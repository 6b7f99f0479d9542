// The front matter of a page: checked against the schema, and read as typed values.
//
// The readers below are lenient: they skip what check_front() has reported.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "indexer/problem.h"
#include "indexer/schema.h"
#include "indexer/yaml_value.h"

namespace indexer {

// Reports every key and value that does not fit `kind`. A page that only overrides another one
// (`whole` false) may leave keys out.
void check_front(const Value& front, const Kind& kind, bool whole, Problems& problems);

struct Text {
  std::string text;
  Place place;
};

struct Link {
  std::string role;  // The key it stands under: "look-also".
  std::string target;
  Place place;
};

struct Years {
  int first = 0;
  int last = 0;
  std::string soft_end;
};

struct SeenAs {
  std::vector<std::vector<std::string>> all_of;
  std::vector<std::string> any_of;  // The key `for`.
  std::vector<std::string> against;
};

// The text under `key`; empty when there is none.
std::string text_under(const Value& front, std::string_view key);
// The entries of the list under `key`, in order.
std::vector<Text> texts_under(const Value& front, std::string_view key);
// The links of all link keys, in the order of the schema, then of the page.
std::vector<Link> links_of(const Value& front);
std::optional<Years> years_of(const Value& front);
// One rule or several; always a list.
std::vector<SeenAs> seen_as_of(const Value& front);

// A whole number of at most nine decimal digits, or nothing.
std::optional<int> whole_number(const Value& value);

}  // namespace indexer
