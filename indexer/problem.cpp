#include "indexer/problem.h"

#include <algorithm>
#include <array>
#include <utility>

#include "kb/text.h"

namespace indexer {
namespace {

constexpr std::array kRules{
    RuleInfo{Rule::unknown_key, "KB001", Scope::page, "A key is not in the schema."},
    RuleInfo{Rule::repeated_key, "KB002", Scope::page, "A key stands twice in one place."},
    RuleInfo{Rule::missing_key, "KB003", Scope::page,
             "A key that this kind of page needs is missing."},
    RuleInfo{Rule::wrong_form, "KB004", Scope::page,
             "A value has another form than its key needs (text, list, mapping), or is empty."},
    RuleInfo{Rule::wrong_value, "KB005", Scope::page,
             "A value is not one of those its key can have."},
    RuleInfo{Rule::wrong_range, "KB006", Scope::page,
             "A range is backwards, open, or outside what is possible."},
    RuleInfo{Rule::id_not_file_name, "KB007", Scope::page, "The id is not the file's name."},
    RuleInfo{Rule::id_of_another_kind, "KB008", Scope::corpus,
             "Two pages of different kinds have the same id."},
    RuleInfo{Rule::missing_section, "KB009", Scope::page,
             "A section of this kind of page is missing."},
    RuleInfo{Rule::unknown_section, "KB010", Scope::page,
             "A section does not belong to this kind."},
    RuleInfo{Rule::misplaced_section, "KB011", Scope::page, "A heading stands in the wrong place."},
    RuleInfo{Rule::unknown_article, "KB012", Scope::page,
             "A link names an article that there is not."},
    RuleInfo{Rule::wrong_kind_of_link, "KB013", Scope::page,
             "A link leads to another kind of article than its key says."},
    RuleInfo{Rule::repeated_section, "KB014", Scope::page, "A heading stands twice."},
    RuleInfo{Rule::empty_section, "KB015", Scope::page, "A section has no text."},
    RuleInfo{Rule::shared_name, "KB016", Scope::corpus,
             "Two articles have the same name without an entry in shared-names.yaml."},
    RuleInfo{Rule::repeated_entry, "KB017", Scope::page, "A name or a list entry stands twice."},
    RuleInfo{Rule::empty_name, "KB018", Scope::page, "A name holds no word."},
    RuleInfo{Rule::page_too_large, "KB019", Scope::page, "A page is larger than 64 KiB."},
    RuleInfo{Rule::not_utf8, "KB020", Scope::page, "A file is not UTF-8 text."},
    RuleInfo{Rule::no_front_matter, "KB021", Scope::page, "A page has no closed front matter."},
    RuleInfo{Rule::invalid_yaml, "KB022", Scope::page, "The YAML cannot be read."},
    RuleInfo{Rule::malformed_seen_as, "KB023", Scope::page, "A seen-as rule is malformed."},
    RuleInfo{Rule::long_wording, "KB024", Scope::page, "A text for the report is too long."},
    RuleInfo{Rule::not_plain_wording, "KB025", Scope::page,
             "A text for the report is not one paragraph of plain text."},
    RuleInfo{Rule::unknown_variant, "KB026", Scope::page,
             "A variant of the report wording is not in wording.yaml."},
    RuleInfo{Rule::unsafe_markup, "KB027", Scope::page,
             "A page holds raw HTML, an image or a web link."},
    RuleInfo{Rule::unreadable, "KB028", Scope::corpus,
             "A file or folder cannot be read or is not known."},
    RuleInfo{Rule::unknown_backing, "KB029", Scope::page,
             "A source backs neither a key nor a section of its page."},
    RuleInfo{Rule::faulty_vocabulary, "KB030", Scope::corpus,
             "A file of the corpus beside the pages is missing or malformed."},
    RuleInfo{Rule::text_outside_section, "KB031", Scope::page,
             "Text stands before the first section."},
    RuleInfo{Rule::page_length, "KB032", Scope::page,
             "A page is shorter or longer than house-style.yaml allows, and gives no reason."},
    RuleInfo{Rule::repeated_run, "KB033", Scope::corpus,
             "The same long run of words stands in too many pages."},
    RuleInfo{Rule::no_look_alike, "KB034", Scope::page,
             "A material names no look-alike and no reason why there is none, or no caution."},
    RuleInfo{Rule::comfort, "KB035", Scope::page, "A text comforts or approves."},
    RuleInfo{Rule::certainty, "KB036", Scope::page,
             "A text says for certain what only a laboratory can say."},
    RuleInfo{Rule::instruction, "KB037", Scope::page,
             "A text tells its reader to do something to the material."},
    RuleInfo{Rule::report_word, "KB038", Scope::page,
             "A text for the report uses a word that no report should."},
    RuleInfo{Rule::price, "KB039", Scope::page, "A text speaks of money."},
    RuleInfo{Rule::brand, "KB040", Scope::page, "A word looks like a maker's brand.",
             Severity::warning},
    RuleInfo{Rule::person, "KB041", Scope::page, "Words look like the name of a person or a firm.",
             Severity::warning},
    RuleInfo{Rule::address, "KB042", Scope::page, "A text holds an address out of the corpus."},
    RuleInfo{Rule::hard_to_read, "KB043", Scope::page,
             "A text for the homeowner is harder to read than house-style.yaml allows."},
    RuleInfo{Rule::stale_override, "KB044", Scope::corpus,
             "A firm's section does not say which text it replaces, or that text has changed since."},
    RuleInfo{Rule::own_vocabulary, "KB045", Scope::corpus,
             "A firm's folder holds a vocabulary file that only letbe's own articles may have."},
    RuleInfo{Rule::standing_limits, "KB046", Scope::corpus,
             "The standing paragraph of a note leaves out one of its limits."},
    RuleInfo{Rule::one_sided_link, "KB047", Scope::corpus,
             "A material and a system do not name each other."},
    RuleInfo{Rule::no_era, "KB048", Scope::corpus,
             "No era whose years overlap those of a material names it."},
    RuleInfo{Rule::outside_era, "KB049", Scope::corpus,
             "An era names a material that was not used in its years."},
    RuleInfo{Rule::no_rule, "KB050", Scope::corpus, "A material names no rule."},
    RuleInfo{Rule::drawing_without_page, "KB051", Scope::corpus,
             "A drawing stands beside no page of its name that could show it."},
    RuleInfo{Rule::drawing_too_large, "KB052", Scope::drawing, "A drawing is larger than 6000 bytes."},
    RuleInfo{Rule::drawing_not_xml, "KB053", Scope::drawing,
             "A drawing is no well-formed XML, or holds more than elements and text."},
    RuleInfo{Rule::drawing_root, "KB054", Scope::drawing,
             "The root of a drawing is no svg element with xmlns, viewBox and role."},
    RuleInfo{Rule::drawing_untold, "KB055", Scope::drawing,
             "A drawing has not one title and one desc with words."},
    RuleInfo{Rule::drawing_element, "KB056", Scope::drawing, "A drawing holds an element it may not."},
    RuleInfo{Rule::drawing_attribute, "KB057", Scope::drawing,
             "A drawing holds an attribute or a value it may not."},
    RuleInfo{Rule::drawing_color, "KB058", Scope::drawing,
             "A drawing has another color than currentColor and none."},
};

}  // namespace

std::span<const RuleInfo> all_rules() { return kRules; }

std::string to_line(const Problem& problem) {
  const char* mark = problem.severity == Severity::warning ? "warning: " : "";
  return problem.file + ":" + std::to_string(problem.line) + ": " + mark + problem.message + " [" +
         problem.rule + "]";
}

void Problems::add(Rule rule, Place place, std::string message) {
  const RuleInfo& info = kRules.at(static_cast<std::size_t>(rule));
  found_.push_back({std::string(place.file), place.line, info.id, std::move(message), info.severity});
  any_error_ = any_error_ || info.severity == Severity::error;
}

std::vector<Problem> Problems::sorted() const {
  std::vector<Problem> out = found_;
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

const std::string* nearest(std::string_view word, std::span<const std::string> known) {
  const auto same = std::find(known.begin(), known.end(), word);
  if (same != known.end()) return &*same;
  const int limit = std::clamp(static_cast<int>(word.size()) / 3, 1, 4);
  int best = limit + 1;
  const std::string* found = nullptr;
  for (const std::string& candidate : known) {
    const int distance = kb::edit_distance(word, candidate, best - 1);
    if (distance >= best) continue;
    best = distance;
    found = &candidate;
    if (best == 0) break;
  }
  return found;
}

std::string or_nearest(std::string_view word, std::span<const std::string> known,
                       std::string_view otherwise) {
  const std::string* near = nearest(word, known);
  return near != nullptr ? "; did you mean '" + *near + "'?" : "; " + std::string(otherwise);
}

std::string joined(std::span<const std::string> words) {
  std::string out;
  for (const std::string& word : words) {
    if (!out.empty()) out += ", ";
    out += word;
  }
  return out;
}

}  // namespace indexer
