#include "indexer/house_style.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include "indexer/front_matter.h"
#include "indexer/value_checks.h"
#include "kb/text.h"

namespace indexer {
namespace {

class StyleReader {
 public:
  StyleReader(const Value& file, const Corpus& corpus, Problems& problems)
      : file_(file), corpus_(corpus), checks_(problems) {}

  HouseStyle read() {
    HouseStyle out;
    const std::pair<const char*, std::vector<PhraseWords>*> lists[] = {
        {"comfort", &out.comfort},
        {"comfort-always", &out.comfort_always},
        {"certainty", &out.certainty},
        {"certainty-unless", &out.certainty_unless},
        {"certainty-unless-next", &out.certainty_unless_next},
        {"order-objects", &out.objects},
        {"order-not-next", &out.not_next},
        {"finite", &out.finite},
        {"order-subjects", &out.subjects},
        {"order-modals", &out.modals},
        {"order-passives", &out.passives},
        {"order-needs", &out.needs},
        {"order-urging", &out.urging},
        {"forbidding", &out.forbidding},
        {"forbidding-ends", &out.forbidding_ends},
        {"supposing", &out.supposing},
        {"report-never", &out.report_never},
        {"prices", &out.prices},
        {"honorifics", &out.honorifics},
    };
    std::vector<std::string> needed{"page-words",   "homeowner-grade",     "repeated-run",
                                    "instructions", "forbidding-sections", "capitalized",
                                    "exceptions",   "standing"};
    for (const auto& [key, list] : lists) needed.emplace_back(key);
    if (!checks_.map("house-style.yaml", file_, needed, {})) return out;
    for (const std::string& key : needed)
      if (file_.find(key) == nullptr) return out;
    for (const auto& [key, list] : lists) *list = phrases(key);
    out.present = true;
    limits(out);
    instructions(out);
    out.forbidding_sections = strings("forbidding-sections");
    out.capitalized = strings("capitalized");
    std::sort(out.capitalized.begin(), out.capitalized.end());
    exceptions(out);
    standing(out);
    return out;
  }

 private:
  std::vector<std::string> strings(const char* key) {
    std::vector<std::string> out;
    const Value* list = file_.find(key);
    if (list == nullptr || !checks_.texts(key, *list, false)) return out;
    for (Text& text : texts_under(file_, key)) out.push_back(std::move(text.text));
    return out;
  }

  std::vector<PhraseWords> phrases(const char* key) {
    std::vector<PhraseWords> out;
    for (const std::string& text : strings(key)) out.push_back(phrase_words(text));
    return out;
  }

  int number(const char* key, const char* part, int most) {
    const Value* map = file_.find(key);
    const Value* value = map == nullptr ? nullptr : map->find(part);
    return checks_.number(std::string(key) + ": " + part, value, 1, most).value_or(0);
  }

  void limits(HouseStyle& out) {
    const Value& words = *file_.find("page-words");
    const Value& run = *file_.find("repeated-run");
    if (checks_.map("page-words", words, {"least", "most"}, {})) {
      out.least_words = number("page-words", "least", 100'000);
      out.most_words = number("page-words", "most", 100'000);
    }
    if (checks_.map("repeated-run", run, {"words", "pages"}, {})) {
      out.run_words = number("repeated-run", "words", 100);
      out.run_pages = number("repeated-run", "pages", 1000);
    }
    const Value* grade = file_.find("homeowner-grade");
    out.homeowner_grade = checks_.number("homeowner-grade", grade, 1, 20).value_or(8);
  }

  void instructions(HouseStyle& out) {
    const Value& list = *file_.find("instructions");
    for (const Value& row : list.items) {
      if (!row.is_list() || row.items.size() != 3) {
        fault(row.place, "three forms make an instruction; write '[wrap, wrapping, wrapped]'");
        continue;
      }
      if (checks_.texts("instructions", row, true))
        out.instructions.push_back({row.items[0].text, row.items[1].text, row.items[2].text});
    }
  }

  void standing(HouseStyle& out) {
    if (const auto wording = corpus_.vocabulary.find("wording"); wording != corpus_.vocabulary.end())
      out.standing_page = text_under(wording->second, "standard");
    for (const Value& row : file_.find("standing")->items) {
      if (!checks_.texts("standing", row, true)) continue;
      out.standing.emplace_back();
      for (const Value& word : row.items) out.standing.back().push_back(kb::fold(word.text));
    }
  }

  void exceptions(HouseStyle& out) {
    for (const Value& row : file_.find("exceptions")->items) {
      if (!checks_.map("exceptions", row, {"article", "phrase", "reason"}, {})) continue;
      const Value& article = *row.find("article");
      // Each is looked at, so that all faults of a row are told in one run.
      const bool named = checks_.text("article", article);
      const bool quoted = checks_.text("phrase", *row.find("phrase"));
      const bool reasoned = checks_.text("reason", *row.find("reason"));
      if (!named || !quoted || !reasoned) continue;
      if (!corpus_.kinds.contains(article.text)) {
        fault(article.place, "unknown article '" + article.text + "'; name the page that is excused");
      } else {
        out.exceptions.push_back({article.text, phrase_words(row.find("phrase")->text), row.place});
      }
    }
  }

  void fault(Place place, std::string message) {
    checks_.report(Rule::faulty_vocabulary, place, std::move(message));
  }

  const Value& file_;
  const Corpus& corpus_;
  ValueChecks checks_;
};

}  // namespace

HouseStyle house_style(const Corpus& corpus, Problems& problems) {
  const auto file = corpus.vocabulary.find("house-style");
  if (file == corpus.vocabulary.end()) return {};
  return StyleReader(file->second, corpus, problems).read();
}

}  // namespace indexer
