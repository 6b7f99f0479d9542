#include "kb/walk_text.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "kb/html.h"
#include "kb/limits.h"

namespace kb {
namespace {

using json = nlohmann::ordered_json;

// On paper two columns of small type; on a screen like every other page.
constexpr std::string_view kStyle =
    ":root{color-scheme:light dark}.checks{list-style:none;padding:0}.checks li{margin:.6rem 0 .6rem 2em;text-indent:-2em;break-inside:avoid}"
    ".checks label{font-weight:bold}.checks input{margin:0 .7em 0 0;width:1.3em;height:1.3em;vertical-align:-.25em}"
    ".mark{border:1px solid;padding:0 .3em;white-space:nowrap;text-indent:0;display:inline-block}.protect{border-left:.3rem solid;padding-left:.5rem}"
    "h2{break-after:avoid}.fill{display:none}"
    "@media print{@page{margin:8mm 7mm}body{font-size:7.3pt;line-height:1.12;max-width:none;margin:0;padding:0;background:none;color:#000}"
    "main{columns:2;column-gap:6mm}h1{font-size:12pt;margin:0 0 3pt}h2{font-size:9pt;margin:4pt 0 1.5pt;border-bottom:1px solid}"
    "p{margin:1.5pt 0}.fill{display:flex;gap:3pt;margin-top:5pt}.fill span{flex:1;border-bottom:1px solid}.checks{margin:0}.checks li{margin:.9pt 0 .9pt 1.5em;text-indent:-1.5em}"
    ".checks input{width:.95em;height:.95em;margin-right:.55em;vertical-align:-.12em}.mark{display:inline;border:0;padding:0;text-transform:uppercase}"
    "footer{margin-top:3pt;padding-top:2pt;font-size:7pt}}";

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

// The words of a walk, the same on paper and on a screen.
class Teller {
 public:
  explicit Teller(const Walk& walk) : walk_(walk), words_(walk.words) {}

  std::string words_of(const std::vector<std::string>& ids) const {
    std::string out;
    for (const std::string& id : ids) out += (out.empty() ? "" : ", ") + words_.name_of(id);
    return out;
  }
  std::string title() const { return words_.sentence("title", "{year}", std::to_string(walk_.asked.built)); }

  // Label and meaning of each period and mark that occurs, in their order.
  std::vector<std::pair<std::string, std::string>> legend() const {
    std::vector<std::pair<std::string, std::string>> out;
    for (const auto& [fit, period] : words_.periods)
      if (any([fit = fit](const WalkItem& i) { return i.fit == fit; }) || (fit == Fit::reuse && any_reuse())) out.emplace_back(period.label, period.says);
    for (const WalkMark& mark : words_.marks)
      if (any([&](const WalkItem& i) { return i.mark == mark.id; })) out.emplace_back(mark.label, mark.says);
    return out;
  }

  std::string when(const WalkItem& i, const char* to) const {
    return words_.periods.at(i.fit).label + ", " + std::to_string(i.material.from) + to + std::to_string(i.material.to);
  }
  std::string mark(const WalkItem& i) const {
    for (const WalkMark& m : words_.marks)
      if (m.id == i.mark) return m.label;
    return {};
  }
  std::string with(const WalkItem& i) const { return i.with.empty() ? "" : words_.sentence("with") + " " + words_of(i.with) + "."; }
  std::string why(const WalkFirst& f) const {
    std::string out = words_.sentence("beside", "{names}", words_of(f.beside));
    if (!f.same_system.empty()) out += "; " + words_.sentence("same-system", "{names}", words_of(f.same_system));
    return capital(out) + ".";
  }
  std::string seen() const { return walk_.asked.seen.empty() ? "" : words_.sentence("seen", "{seen}", words_of(walk_.asked.seen)); }
  bool empty() const { return walk_.places.empty() && walk_.first.empty(); }

 private:
  template <typename Is>
  bool any(Is is) const {
    return std::any_of(walk_.first.begin(), walk_.first.end(), is) ||
           std::any_of(walk_.places.begin(), walk_.places.end(), [&](const WalkPlace& p) { return std::any_of(p.items.begin(), p.items.end(), is); });
  }
  bool any_reuse() const {
    return std::any_of(walk_.places.begin(), walk_.places.end(), [](const WalkPlace& p) { return !p.reuse.empty(); });
  }

  const Walk& walk_;
  const WalkWords& words_;
};

// `why`: why it comes first; it takes the place of what often comes with it.
std::string item_markdown(const Teller& tell, const WalkItem& i, const std::string& why, bool boxes) {
  constexpr const char* kBreak = "  \n  ";
  std::string out = std::string("- ") + (boxes ? "[ ] " : "") + "**" + i.material.title + "** (`" + i.material.id + "`): " + tell.when(i, " to ");
  if (const std::string mark = tell.mark(i); !mark.empty()) out += "; **" + mark + "**";
  for (const std::string& line : {i.material.look, why.empty() ? tell.with(i) : why})
    if (!line.empty()) out += kBreak + line;
  return out + "\n";
}

std::string item_html(const Teller& tell, const WalkItem& i, const std::string& why) {
  std::string out = "<li><label><input type=\"checkbox\">" + escape_html(i.material.title) + "</label> <i>(" + escape_html(tell.when(i, "–")) + ")</i>";
  if (const std::string mark = tell.mark(i); !mark.empty()) out += " <b class=\"mark\">" + escape_html(mark) + "</b>";
  out += " " + escape_html(i.material.look);
  if (const std::string more = why.empty() ? tell.with(i) : why; !more.empty()) out += " <i>" + escape_html(more) + "</i>";
  return out + "</li>\n";
}

json item_json(const Walk& walk, const WalkItem& i) {
  return {{"id", i.material.id}, {"title", i.material.title}, {"look", i.material.look}, {"fit", walk.words.periods.at(i.fit).id},
          {"from", i.material.from}, {"to", i.material.to}, {"soft_end", i.material.soft}, {"friability", i.material.friability},
          {"mark", i.mark.empty() ? json(nullptr) : json(i.mark)}, {"with", i.with}};
}

}  // namespace

std::string walk_markdown(const Walk& walk, bool boxes) {
  const Teller tell(walk);
  const WalkWords& words = walk.words;
  std::string out = "# " + tell.title() + "\n\n" + words.sentence("intro") + "\n\n";
  if (!tell.seen().empty()) out += "**" + tell.seen() + "**\n\n";
  if (tell.empty()) return out + words.sentence("nothing") + "\n\n" + kStandingLimits + "\n";
  for (const auto& [label, says] : tell.legend()) out += "- **" + label + "**: " + says + "\n";
  out += "\n" + words.sentence("years") + " " + words.sentence("unmarked") + "\n\n";
  if (!walk.first.empty()) out += "## " + words.sentence("first") + "\n\n";
  for (const WalkFirst& f : walk.first) out += item_markdown(tell, f, tell.why(f), boxes);
  if (!walk.first.empty()) out += "\n";
  for (const WalkPlace& p : walk.places) {
    out += "## " + p.stop.title + "\n\n";
    if (!p.items.empty() || !p.reuse.empty()) out += p.stop.protect + "\n\n";
    for (const WalkItem& i : p.items) out += item_markdown(tell, i, {}, boxes);
    if (!p.items.empty()) out += "\n";
    if (!p.also.empty()) out += "*" + words.sentence("also") + "* " + tell.words_of(p.also) + ".\n\n";
    if (!p.reuse.empty()) out += "*" + words.sentence("reuse") + "* " + tell.words_of(p.reuse) + ".\n\n";
  }
  return out + words.sentence("not-listed") + "\n\n" + kStandingLimits + "\n";
}

std::string walk_html(const Walk& walk, const std::string& corpus_version) {
  const Teller tell(walk);
  const WalkWords& words = walk.words;
  std::string out = "<h1>" + escape_html(tell.title()) + "</h1>\n<p>" + escape_html(words.sentence("intro")) + "</p>\n<p class=\"fill\">" +
                    escape_html(words.sentence("house-blank")) + " <span></span> " + escape_html(words.sentence("date-blank")) + " <span></span></p>\n";
  if (!tell.seen().empty()) out += "<p><b>" + escape_html(tell.seen()) + "</b></p>\n";
  if (tell.empty()) {
    out += "<p>" + escape_html(words.sentence("nothing")) + "</p>\n";
    return html_page(tell.title(), out, kStyle, corpus_version);
  }
  std::string legend;
  for (const auto& [label, says] : tell.legend()) legend += (legend.empty() ? "<b>" : "; <b>") + escape_html(label) + "</b>: " + escape_html(says);
  out += "<p>" + legend + ".</p>\n<p>" + escape_html(words.sentence("years") + " " + words.sentence("unmarked")) + "</p>\n";
  const auto list = [&](const std::string& items) { return items.empty() ? items : "<ul class=\"checks\">\n" + items + "</ul>\n"; };
  std::string items;
  for (const WalkFirst& f : walk.first) items += item_html(tell, f, tell.why(f));
  if (!items.empty()) out += "<h2>" + escape_html(words.sentence("first")) + "</h2>\n" + list(items);
  for (const WalkPlace& p : walk.places) {
    out += "<h2>" + escape_html(p.stop.title) + "</h2>\n";
    if (!p.items.empty() || !p.reuse.empty()) out += "<p class=\"protect\">" + escape_html(p.stop.protect) + "</p>\n";
    items.clear();
    for (const WalkItem& i : p.items) items += item_html(tell, i, {});
    out += list(items);
    if (!p.also.empty()) out += "<p><i>" + escape_html(words.sentence("also")) + "</i> " + escape_html(tell.words_of(p.also)) + ".</p>\n";
    if (!p.reuse.empty()) out += "<p><i>" + escape_html(words.sentence("reuse")) + "</i> " + escape_html(tell.words_of(p.reuse)) + ".</p>\n";
  }
  out += "<p><b>" + escape_html(words.sentence("not-listed")) + "</b></p>\n";
  return html_page(tell.title(), out, kStyle, corpus_version);
}

std::string walk_json(const Walk& walk) {
  json first = json::array(), places = json::array();
  for (const WalkFirst& f : walk.first) {
    json item = item_json(walk, f);
    item["beside"] = f.beside;
    item["same_system"] = f.same_system;
    first.push_back(std::move(item));
  }
  for (const WalkPlace& p : walk.places) {
    json items = json::array();
    for (const WalkItem& i : p.items) items.push_back(item_json(walk, i));
    places.push_back({{"id", p.stop.id}, {"title", p.stop.title}, {"protect", p.stop.protect}, {"materials", std::move(items)}, {"also", p.also}, {"reuse", p.reuse}});
  }
  const json document = {{"schema", 1}, {"built", walk.asked.built}, {"systems", walk.asked.systems}, {"seen", walk.asked.seen},
                         {"first", std::move(first)}, {"places", std::move(places)}, {"limits", kStandingLimits}};
  return document.dump(2, ' ', false, json::error_handler_t::replace) + "\n";
}

}  // namespace kb
