// Every figure of the rule pages against the paragraph it rests on.
//
// The figures are data beside this file: rules.tsv, a row for each figure as it stands in the body
// of a page of articles/rules/, with the primary document and how well that was read. A number that
// no row covers, and a row whose words no longer stand in the page, fail.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "kb/articles.h"
#include "tests/published/article_text.h"
#include "tests/unit/corpus_for_tests.h"

namespace {

struct Row {
  std::string page, figure, what, source, status;
};

const std::vector<Row>& rows() {
  static const std::vector<Row> all = [] {
    std::ifstream in(LETBE_SOURCE_DIR "/tests/published/rules.tsv");
    REQUIRE_MESSAGE(in, "missing: rules.tsv");
    std::vector<Row> out;
    for (std::string line; std::getline(in, line);) {
      if (line.starts_with('#')) continue;
      std::vector<std::string> cells;
      std::istringstream parts(line);
      for (std::string cell; std::getline(parts, cell, '\t');) cells.push_back(cell);
      REQUIRE_MESSAGE(cells.size() == 5, line);
      out.push_back({cells[0], cells[1], cells[2], cells[3], cells[4]});
    }
    return out;
  }();
  return all;
}

// The bodies of all rule pages by id, each in one line: headings and sections, no front matter.
const std::map<std::string, std::string>& pages() {
  static const std::map<std::string, std::string> all = [] {
    std::map<std::string, std::string> out;
    for (const kb::ArticleInfo& info : kb::list_articles(test_database(), "rule")) {
      const auto article = kb::load_article(test_database(), info.id);
      REQUIRE_MESSAGE(article, info.id);
      std::string text;
      for (const kb::Section& s : article->sections)
        text += "## " + s.heading + "\n" + s.body + "\n";
      out[info.id] = in_one_line(text);
    }
    return out;
  }();
  return all;
}

bool digit(char c) { return c >= '0' && c <= '9'; }
// Bytes of a word; those beyond ASCII are the rest of a unit, such as the 2 of square meters.
bool wordy(char c) {
  return digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c & '\x80') != 0;
}
bool mark(char c) { return c == '.' || c == ','; }

// Does the text from `at` to `end` stand for itself, cutting neither a word nor a number?
bool whole(const std::string& text, std::size_t at, std::size_t end) {
  const auto is = [&](std::size_t i, bool (*test)(char)) {
    return i < text.size() && test(text[i]);
  };
  const bool open =
      !wordy(text[at]) || !(is(at - 1, wordy) ||  // At 0 the index is out of reach.
                            (is(at - 1, mark) && digit(text[at]) && is(at - 2, digit)));
  const bool closed =
      !wordy(text[end - 1]) ||
      !(is(end, wordy) || (is(end, mark) && digit(text[end - 1]) && is(end + 1, digit)));
  return open && closed;
}

// Where `part` stands in `text`, each time.
std::vector<std::size_t> places_of(const std::string& text, const std::string& part) {
  std::vector<std::size_t> out;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    if (whole(text, at, at + part.size())) out.push_back(at);
  return out;
}

// For each byte of a page, whether the figure of some row of that page covers it.
std::vector<bool> covered(const std::string& page, const std::string& text) {
  std::vector<bool> out(text.size(), false);
  for (const Row& row : rows()) {
    if (row.page != page) continue;
    for (const std::size_t at : places_of(text, row.figure))
      std::fill_n(out.begin() + static_cast<std::ptrdiff_t>(at), row.figure.size(), true);
  }
  return out;
}

// The text with paragraph numbers of citations and days of dates blanked, each byte in its place.
std::string without_citations(std::string text) {
  const char* const patterns[] = {
      R"(\b[0-9]+ (CFR|USC|FR|CCR) [0-9][0-9.\-]*[a-z]?(\([0-9A-Za-z]+\))*)",
      R"(\b(61|763|1910|1926)\.[0-9]+(\([0-9A-Za-z]+\))*)",
      R"(\([a-z]\)(\([0-9A-Za-z]+\))+)",
      R"(\b(SI|No|SOR/|O\. Reg\.|Directive|Directive \(EU\)|Pub\. L\.) ?[0-9]+([/\-][0-9]+)*)",
      R"(\b([Rr]egulation|[Ss]ection|[Pp]aragraph|[Ee]ntry|[Ii]tem|[Aa]ppendix) [0-9]+)",
      R"(\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b)",
      R"(\b[0-9]{1,2} (January|February|March|April|May|June|July)\b)",
      R"(\b[0-9]{1,2} (August|September|October|November|December)\b)",
  };
  for (const char* const pattern : patterns) {
    const std::regex cite(pattern);
    const std::string before = text;
    for (std::sregex_iterator it(before.begin(), before.end(), cite), end; it != end; ++it)
      text.replace(static_cast<std::size_t>(it->position()), static_cast<std::size_t>(it->length()),
                   static_cast<std::size_t>(it->length()), ' ');
  }
  return text;
}

bool year(const std::string& number) {
  return number.size() == 4 && std::all_of(number.begin(), number.end(), digit) &&
         number >= "1800" && number <= "2100";
}

// The numbers of a page and where they stand; no citation, no year, no day of a date, and no number
// that is part of a name, such as N95.
std::vector<std::pair<std::size_t, std::string>> numbers_of(const std::string& page_text) {
  const std::string text = without_citations(page_text);
  std::vector<std::pair<std::size_t, std::string>> out;
  for (std::size_t at = 0; at < text.size();) {
    if (!digit(text[at])) {
      ++at;
      continue;
    }
    std::size_t end = at + 1;
    while (end < text.size() &&
           (digit(text[end]) || ((mark(text[end]) || text[end] == '-') && end + 1 < text.size() &&
                                 digit(text[end + 1]))))
      ++end;
    if (end < text.size() && text[end] == '%') ++end;
    const std::string number = text.substr(at, end - at);
    const bool name = at > 0 && wordy(text[at - 1]);
    if (!name && !year(number)) out.emplace_back(at, number);
    at = end;
  }
  return out;
}

// The years of a text and where they stand.
std::vector<std::pair<std::size_t, std::string>> years_of(const std::string& text) {
  std::vector<std::pair<std::size_t, std::string>> out;
  for (std::size_t at = 0; at + 4 <= text.size(); ++at) {
    const bool alone =
        (at == 0 || !digit(text[at - 1])) && (at + 4 == text.size() || !digit(text[at + 4]));
    if (alone && year(text.substr(at, 4))) out.emplace_back(at, text.substr(at, 4));
  }
  return out;
}

// Numbers in words before something that is counted ("four or fewer dwelling units").
std::vector<std::pair<std::size_t, std::string>> worded_numbers_of(const std::string& text) {
  static const std::set<std::string> numbers{"two",   "three", "four", "five",   "six",    "seven",
                                             "eight", "nine",  "ten",  "eleven", "twelve", "half"};
  static const std::set<std::string> counted{
      "unit",    "units", "sample", "samples", "day",        "days",    "hours",    "minutes",
      "year",    "years", "month",  "months",  "percent",    "points",  "inch",     "times",
      "working", "lower", "types",  "groups",  "categories", "classes", "products", "disciplines"};
  std::vector<std::pair<std::size_t, std::string>> words;  // Lower case, with where each begins.
  for (std::size_t at = 0; at < text.size(); ++at) {
    const char c = text[at];
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (!letter) continue;
    if (at == 0 || !wordy(text[at - 1])) words.emplace_back(at, "");
    if (!words.empty()) words.back().second += static_cast<char>(c | ' ');
  }
  std::vector<std::pair<std::size_t, std::string>> out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (!numbers.contains(words[i].second)) continue;
    for (std::size_t k = i + 1; k < words.size() && k <= i + 4; ++k) {
      const std::string between = text.substr(words[i].first, words[k].first - words[i].first);
      if (holds(between, ". ") || holds(between, "; ") || holds(between, ": ")) break;
      if (!counted.contains(words[k].second)) continue;
      out.push_back(words[i]);
      break;
    }
  }
  return out;
}

void check_covered(const std::string& page, const std::string& text,
                   const std::vector<std::pair<std::size_t, std::string>>& numbers) {
  const std::vector<bool> known = covered(page, text);
  for (const auto& found : numbers) {
    const std::size_t at = found.first;
    const std::string& number = found.second;
    std::size_t from = at < 40 ? 0 : at - 40, to = std::min(at + number.size() + 40, text.size());
    while (from > 0 && text[from] != ' ') --from;  // Whole words, so whole characters.
    while (to < text.size() && text[to] != ' ') ++to;
    CAPTURE(page);
    CAPTURE(number);
    CAPTURE(text.substr(from, to - from));
    const auto first = known.begin() + static_cast<std::ptrdiff_t>(at);
    const auto last = first + static_cast<std::ptrdiff_t>(number.size());
    CHECK(std::all_of(first, last, [](bool yes) { return yes; }));
  }
}

double value_of(std::string number) {
  std::erase(number, ',');
  return std::strtod(number.c_str(), nullptr);
}

// Is `printed` what `exact` is when rounded to the places printed, and near it?
bool rounds_to(double exact, const std::string& printed_number) {
  const double value = value_of(printed_number);
  double step = 1;
  if (const std::size_t point = printed_number.find('.'); point != std::string::npos) {
    for (std::size_t i = point + 1; i < printed_number.size(); ++i) step /= 10;
  } else {
    for (std::size_t i = printed_number.size(); i > 1 && printed_number[i - 1] == '0'; --i)
      step *= 10;
  }
  return std::abs(exact - value) <= step / 2 + 1e-9 && std::abs(exact - value) <= 0.03 * value;
}

// Calls `visit(number, its unit, number in brackets, its unit)` for every measure that is given
// twice.
template <typename Visit>
int for_each_pair(const std::string& text, Visit visit) {
  const std::string n = "([0-9][0-9.,]*)";
  const std::string by = "(?: by [0-9.]+)?";
  const std::regex to_metric(n + by +
                             "[ -](linear feet|square feet|cubic feet|feet|inches|gallon) \\(" + n +
                             by + " (m²|m³|m|L)\\)");
  const std::regex from_metric(n + " (m²|m) \\((?:about )?" + n + " (square feet|ft)\\)");
  const std::regex both(n + " linear or square feet \\(" + n + " m or " + n + " m²\\)");
  const std::regex thin(n + " (micrometer), about " + n + " (millionths of an inch)");
  int count = 0;
  for (const std::regex* pattern : {&to_metric, &from_metric, &thin})
    for (std::sregex_iterator it(text.begin(), text.end(), *pattern), end; it != end; ++it, ++count)
      visit((*it)[1].str(), (*it)[2].str(), (*it)[3].str(), (*it)[4].str());
  for (std::sregex_iterator it(text.begin(), text.end(), both), end; it != end; ++it, ++count) {
    visit((*it)[1].str(), std::string("linear feet"), (*it)[2].str(), std::string("m"));
    visit((*it)[1].str(), std::string("square feet"), (*it)[3].str(), std::string("m²"));
  }
  return count;
}

// Every measure with another in brackets is one that is understood, and both say the same.
int check_pairs(const std::string& text) {
  struct Factor {
    const char *from, *to;
    double factor;
  };
  static const Factor factors[] = {
      {"linear feet", "m", 0.3048},
      {"feet", "m", 0.3048},
      {"inches", "m", 0.0254},
      {"square feet", "m²", 0.09290304},
      {"cubic feet", "m³", 0.028316847},
      {"gallon", "L", 3.785411784},
      {"m", "ft", 1 / 0.3048},
      {"m²", "square feet", 1 / 0.09290304},
      {"micrometer", "millionths of an inch", 1 / 0.0254},
  };
  const int pairs =
      for_each_pair(text, [](const std::string& number, const std::string& unit,
                             const std::string& other, const std::string& other_unit) {
        CAPTURE(number + " " + unit + " (" + other + " " + other_unit + ")");
        const auto* const found =
            std::find_if(std::begin(factors), std::end(factors),
                         [&](const Factor& f) { return unit == f.from && other_unit == f.to; });
        REQUIRE(found != std::end(factors));
        CHECK(rounds_to(value_of(number) * found->factor, other));
      });
  static const std::regex bracket(
      R"(\((about )?[0-9][0-9.,]*( by [0-9.]+)? ?(cm|mm|m²|m³|m|L|km|kg|ft|feet|square feet|inches)( [^)]*)?\))");
  const auto brackets = std::distance(std::sregex_iterator(text.begin(), text.end(), bracket),
                                      std::sregex_iterator());
  const bool thin = holds(text, "micrometer, about ");
  CAPTURE(text);
  CHECK(pairs == brackets + (thin ? 1 : 0));
  return pairs;
}

}  // namespace

TEST_CASE("every figure of the table of rules stands in its page") {
  std::set<std::pair<std::string, std::string>> seen;
  for (const Row& row : rows()) {
    CAPTURE(row.page);
    CAPTURE(row.figure);
    const auto page = pages().find(row.page);
    REQUIRE(page != pages().end());
    CHECK_FALSE(places_of(page->second, row.figure).empty());
    CHECK_MESSAGE(seen.emplace(row.page, row.figure).second, "twice in the table");
  }
  CHECK(rows().size() > 300);
}

TEST_CASE("every figure of the rules has a source and says how well that was read") {
  const std::set<std::string> known{"published", "second-hand", "common practice", "from memory"};
  for (const Row& row : rows()) {
    CAPTURE(row.page);
    CAPTURE(row.figure);
    CAPTURE(row.status);
    CHECK(known.contains(row.status));
    CHECK_FALSE(row.what.empty());
    CHECK_FALSE(row.source.empty());
    for (const char* address : {"http", "www.", ".com", ".gov", ".org"})
      CHECK_FALSE(holds(row.source, address));
  }
}

TEST_CASE("every number in the body of a rule page is a figure of the table") {
  CHECK(pages().size() >= 22);
  std::size_t count = 0;
  for (const auto& [page, text] : pages()) {
    const auto numbers = numbers_of(text);
    check_covered(page, text, numbers);
    count += numbers.size();
  }
  CHECK(count > 250);
}

TEST_CASE("a year that no figure of the table covers is one of the page's figures or sources") {
  for (const auto& entry : pages()) {
    const std::string& page = entry.first;
    const std::string& text = entry.second;
    const std::string front = kb::load_article(test_database(), page)->front;
    std::string known = front.substr(std::min(front.find("\"sources\""), front.size()));
    for (const Row& row : rows())
      if (row.page == page) known += " " + row.figure + " " + row.source;
    std::set<std::string> years;
    for (const auto& [at, number] : years_of(known)) years.insert(number);
    const std::vector<bool> in_row = covered(page, text);
    for (const auto& found : years_of(without_citations(text))) {
      const std::size_t at = found.first;
      const std::string& number = found.second;
      CAPTURE(page);
      CAPTURE(number);
      CHECK((in_row[at] || years.contains(number)));
    }
  }
}

TEST_CASE(
    "numbers in words that count units, samples, days and the like are figures of the table") {
  std::size_t count = 0;
  for (const auto& [page, text] : pages()) {
    const auto numbers = worded_numbers_of(text);
    check_covered(page, text, numbers);
    count += numbers.size();
  }
  CHECK(count > 30);
}

TEST_CASE("citations, years and days of dates are no figures, and everything else is") {
  const auto numbers = [](const std::string& text) {
    std::string out;
    for (const auto& [at, number] : numbers_of(text)) out += number + ";";
    return out;
  };
  CHECK(
      numbers(
          "29 CFR 1926.1101(b), 40 CFR 61.145, 58 FR 58964, paragraph 763.88(b), (g)(8)(ii)(H)") ==
      "");
  CHECK(numbers("42 USC 4852d, 15 USC 2642(10), Pub. L. 101-637, SI 2012/632, SOR/2018-196") == "");
  CHECK(numbers("O. Reg. 278/05, Directive 2009/148/EC, Directive (EU) 2023/2668, Appendix 2") ==
        "");
  CHECK(numbers("on 30 December 2018, of 1989, in the 1950s, 2026-11-25, HSG264, N95, R307-801") ==
        "");
  CHECK(numbers("0.1 f/cc, 1,000 square feet, 5-8 days, 30%, 8-hour, 1. one, 2101, 425,") ==
        "0.1;1,000;5-8;30%;8;1;2101;425;");
}

TEST_CASE("feet and inches of the rules agree with the metric figures beside them") {
  int in_rows = 0, in_pages = 0;
  for (const Row& row : rows()) {
    CAPTURE(row.page);
    in_rows += check_pairs(row.figure);
  }
  for (const auto& entry : pages()) {
    const std::string& page = entry.first;
    const std::string& text = entry.second;
    CAPTURE(page);
    in_pages += check_pairs(text);
  }
  CHECK(in_rows > 20);
  CHECK(in_pages >= in_rows);
  CHECK(rounds_to(260 * 0.3048, "80"));
  CHECK(rounds_to(35 * 0.028316847, "1"));
  CHECK_FALSE(rounds_to(260 * 0.3048, "85"));
  CHECK_FALSE(rounds_to(260 * 0.3048, "70"));
  CHECK_FALSE(rounds_to(5580 * 0.09290304, "520.0"));
}

TEST_CASE("the limits that everybody quotes stand in the page they belong to") {
  struct Case {
    const char *page, *figure;
  };
  const Case cases[] = {
      // 29 CFR 1926.1101(c)(1), published, and (c)(2), second-hand.
      {"us-exposure-limits", "0.1 fiber per cubic centimeter of air (f/cc), averaged over 8 hours"},
      {"us-exposure-limits", "1.0 f/cc, averaged over 30 minutes"},
      // 40 CFR 763.90(i), published.
      {"us-exposure-limits", "at least five samples, each at or below 0.01 f/cc"},
      // 29 CFR 1926.1101(b); 40 CFR 61.141; 40 CFR 763.83, published.
      {"us-one-percent-line", "holds more than 1 percent asbestos"},
      {"us-one-percent-line", "Exactly 1 percent is not above the line"},
      {"us-friability-classes", "more than 1 percent asbestos by polarized light microscopy"},
      // Memorandum of 7 February 1997; 29 CFR 1926.1101(k)(1), published.
      {"us-presumed-materials",
       "**Thermal system insulation** in a building constructed no later than 1980"},
      {"us-presumed-materials",
       "**Surfacing material** in a building constructed no later than 1980"},
      {"us-presumed-materials", "installed no later than 1980"},
      // 40 CFR 61.145(a)(1) and (b), published.
      {"us-renovation-thresholds", "at least 260 linear feet (80 m) on pipes"},
      {"us-renovation-thresholds", "at least 160 square feet (15 m²) on other components"},
      {"us-renovation-thresholds", "at least 35 cubic feet (1 m³) off components"},
      {"us-renovation-thresholds", "at least 10 working days ahead"},
      // 40 CFR 61.141; 60 FR 38725, published.
      {"us-houses-and-the-air-rule", "residential buildings with four or fewer dwelling units"},
      // 40 CFR 763.86(a) and (b), published.
      {"us-sampling-counts", "up to and including 1,000 square feet (93 m²): 3"},
      {"us-sampling-counts", "Above 1,000, up to and including 5,000 square feet (465 m²): 5"},
      {"us-sampling-counts", "Above 5,000 square feet: 7"},
      {"us-sampling-counts", "**Thermal system insulation**: 3"},
      {"us-sampling-counts", "A patch of it under 6 linear or square feet (1.8 m or 0.56 m²): 1"},
      // 40 CFR 763 subpart E, appendix C, published.
      {"us-accreditation", "worker, 4 days"},
      {"us-accreditation", "contractor or supervisor, 5 days"},
      {"us-accreditation", "inspector, 3 days"},
      {"us-accreditation", "management planner, the inspector course and 2 more days"},
      {"us-accreditation", "project designer, 3 days"},
      {"us-accreditation", "one day, for inspectors half a day"},
      // 29 CFR 1926.1101(l)(3), published; 1926.1101(g)(8)(ii)(H), published; appendix A, from
      // memory.
      {"us-flooring-work", "below 300 rpm, wet"},
      {"us-roofing-work", "intact roofing under 25 square feet (2.3 m²)"},
      {"us-roofing-work", "on 5,580 square feet (518 m²) or more of Category I roofing"},
      // 38 FR 8820, published; 40 FR 48292, second-hand; 43 FR 26372, the day from memory; 42 FR
      // 63354.
      {"us-spray-bans", "6 April 1973 for sprayed fireproofing and insulation"},
      {"us-spray-bans", "14 October 1975 for friable molded or wet-applied insulation"},
      {"us-spray-bans", "19 June 1978 (the day from memory)"},
      {"us-consumer-bans", "patching compounds with added asbestos, from 16 January 1978"},
      // CAR 2012 regulations 2 and 3(2), published; the regulations of 1985 and 1999, second-hand.
      {"uk-duty-and-bans",
       "0.1 fiber per cm³ of air (the same number per milliliter), averaged over 4 hours"},
      {"uk-duty-and-bans", "at or under 0.6 fiber per cm³ over 10 minutes"},
      {"uk-duty-and-bans", "banned in 1985"},
      {"uk-duty-and-bans", "white on 24 November 1999"},
      {"uk-duty-and-bans", "built or refurbished before 2000"},
      // HSG264, Table 2, second-hand.
      {"uk-material-assessment", "10 or more high, 7 to 9 medium, 5 to 6 low, 4 or less very low"},
      // SOR/2018-196, the date second-hand; the lines of Ontario and Quebec published, others
      // second-hand.
      {"canada", "came into force on 30 December 2018"},
      {"canada", "Ontario | 0.5 percent or more by dry weight"},
      {"canada", "Quebec | 0.1 percent or more"},
      {"canada",
       "British Columbia | 0.5 percent or more; vermiculite insulation: any asbestos at all"},
      // Council and regulator pages on the Australian prohibition and chapter 8, published.
      {"australia", "prohibited nationally from 31 December 2003"},
      {"australia", "renovated before 1990"},
      {"australia", "More than 10 m² (about 108 square feet) of bonded material"},
      // Directive (EU) 2023/2668, published; New Zealand, second-hand.
      {"other-countries", "cuts it from 0.1 to 0.01 fiber per cm³"},
      {"other-countries", "ended on 1 October 2016"},
  };
  for (const Case& c : cases) {
    CAPTURE(std::string(c.page));
    CAPTURE(std::string(c.figure));
    const auto page = pages().find(c.page);
    REQUIRE(page != pages().end());
    CHECK_FALSE(places_of(page->second, c.figure).empty());
    CHECK(std::any_of(rows().begin(), rows().end(), [&](const Row& row) {
      return row.page == c.page && row.figure == c.figure;
    }));
  }
}

TEST_CASE("no page on the US puts 1 percent itself above the line") {
  // 29 CFR 1926.1101(b); 40 CFR 61.141 (published): more than 1 percent.
  for (const auto& entry : pages()) {
    const std::string& page = entry.first;
    const std::string& text = entry.second;
    if (!page.starts_with("us-")) continue;
    CAPTURE(page);
    CHECK(places_of(text, "1 percent or more").empty());
    CHECK(places_of(text, "at least 1 percent").empty());
  }
}
