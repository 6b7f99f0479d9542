// Knowledge as bytes in the database, and back.
#include <array>

#include "kb/error.h"
#include "kb/knowledge.h"

namespace kb {
namespace {

// First in the bytes: their order, the width of what is stored, and the version of this layout.
constexpr std::int64_t kMark = 0x6C62'0006'0000'0000 | (sizeof(Tag) << 8) | static_cast<std::int64_t>(Cue::count);

void write(ByteWriter& out, const Material& m) {
  for (const std::string* text : {&m.id, &m.title, &m.friability, &m.unstated, &m.base}) out.text(*text);
  out.number(m.from);
  out.number(m.to);
  out.texts(m.look_also);
  out.texts(m.systems);
  out.text_map(m.variants);
}

Material read_material(ByteReader& in) {
  Material m;
  for (std::string* text : {&m.id, &m.title, &m.friability, &m.unstated, &m.base}) *text = in.text();
  m.from = static_cast<int>(in.number());
  m.to = static_cast<int>(in.number());
  m.look_also = in.texts();
  m.systems = in.texts();
  m.variants = in.text_map();
  return m;
}

void write(ByteWriter& out, const AdviceRow& r) {
  for (const std::string* text : {&r.advice, &r.because, &r.severity, &r.unstated}) out.text(*text);
  for (const ConditionSet set : {r.any, r.all, r.without}) out.number(set);
  for (const auto* list : {&r.friability, &r.tested, &r.materials}) out.texts(*list);
  out.number(r.stated ? (*r.stated ? 1 : 0) : -1);
}

AdviceRow read_advice_row(ByteReader& in) {
  AdviceRow r;
  for (std::string* text : {&r.advice, &r.because, &r.severity, &r.unstated}) *text = in.text();
  for (ConditionSet* set : {&r.any, &r.all, &r.without}) *set = static_cast<ConditionSet>(in.number());
  for (auto* list : {&r.friability, &r.tested, &r.materials}) *list = in.texts();
  const std::int64_t stated = in.number();
  if (stated >= 0) r.stated = stated == 1;
  return r;
}

void write(ByteWriter& out, const Wording& w) {
  for (const std::string* text : {&w.caption, &w.standard_id, &w.unknown_id}) out.text(*text);
  for (const auto* map : {&w.sentences, &w.plain, &w.labels, &w.tested, &w.advice}) out.text_map(*map);
  out.texts(w.order);
  out.number(static_cast<std::int64_t>(w.said_by.size()));
  for (const auto& [advice, words] : w.said_by) {
    out.text(advice);
    out.texts(words);
  }
  for (const int n : {w.least, w.most, w.brief}) out.number(n);
}

Wording read_wording(ByteReader& in) {
  Wording w;
  for (std::string* text : {&w.caption, &w.standard_id, &w.unknown_id}) *text = in.text();
  for (auto* map : {&w.sentences, &w.plain, &w.labels, &w.tested, &w.advice}) *map = in.text_map();
  w.order = in.texts();
  for (std::size_t n = in.count(1); n > 0; --n) {
    std::string advice = in.text();
    w.said_by[std::move(advice)] = in.texts();
  }
  for (int* n : {&w.least, &w.most, &w.brief}) *n = static_cast<int>(in.number());
  return w;
}

// Every tag must name something that is there, whatever file the bytes came from.
void check_tags(const Knowledge& k, const std::vector<Tag>& tags) {
  std::array<std::size_t, static_cast<std::size_t>(Cue::count)> sizes{};
  const auto set = [&](Cue cue, std::size_t size) { sizes[static_cast<std::size_t>(cue)] = size; };
  sizes.fill(~std::size_t{0});
  set(Cue::name, k.materials.size());
  set(Cue::shared, k.shared.size());
  set(Cue::decide, k.shared.size());
  for (const Cue c : {Cue::seen, Cue::seen_for, Cue::seen_against}) set(c, k.rules.size());
  for (const Cue c : {Cue::condition, Cue::first, Cue::second}) set(c, k.conditions.size());
  set(Cue::elsewhere, k.elsewhere.size());
  set(Cue::remark, k.remark_rules.size());
  for (const Tag& t : tags) {
    bool sound = t.kind < sizes.size() && t.item >= 0 && static_cast<std::size_t>(t.item) < sizes[t.kind] && t.part >= 0;
    const auto part = static_cast<std::size_t>(t.part);
    if (sound && t.kind == static_cast<std::uint16_t>(Cue::seen)) sound = t.part < k.rules[static_cast<std::size_t>(t.item)].groups;
    if (sound && t.kind == static_cast<std::uint16_t>(Cue::decide)) sound = part < k.shared[static_cast<std::size_t>(t.item)].ids.size();
    if (!sound) throw Error("the database's compiled words are damaged; build it again with letbe-index");
  }
}

}  // namespace

std::string Knowledge::freeze() const {
  ByteWriter out;
  out.number(kMark);
  lexicon->write(out);
  tree.write(out);
  sounds.write(out);
  by_sound.write(out);
  sound_words.write(out);
  out.number(static_cast<std::int64_t>(materials.size()));
  for (const Material& m : materials) write(out, m);
  out.text_map(titles);
  out.text_map(cautions);
  out.text_map(plain);
  out.number(static_cast<std::int64_t>(shared.size()));
  for (const SharedName& s : shared) {
    out.text(s.name);
    out.texts(s.ids);
    out.text(s.fallback);
  }
  out.array(rules);
  out.number(static_cast<std::int64_t>(conditions.size()));
  for (const Condition& c : conditions) {
    out.text(c.id);
    out.text(c.caution);
    out.texts(c.systems);
    out.texts(c.systems_beside);
  }
  out.number(states);
  for (const auto* list : {&always_on_air_path, &on_air_path_when_breaking, &never_cleared, &advice_order}) out.texts(*list);
  out.number(static_cast<std::int64_t>(advice_rows.size()));
  for (const AdviceRow& r : advice_rows) write(out, r);
  out.number(static_cast<std::int64_t>(elsewhere.size()));
  for (const Elsewhere& e : elsewhere) out.texts(e.touches);
  out.number(static_cast<std::int64_t>(remark_rules.size()));
  for (const RemarkRule& r : remark_rules) {
    out.text(r.says);
    out.text(r.text);
  }
  for (const std::string* text : {&place_missing, &extent_missing, &photo}) out.text(*text);
  write(out, wording);
  return out.take();
}

WordRules load_word_rules(const Database& db) {
  Statement row = db.compiled("words");
  ByteReader in(row.step() ? row.bytes(0) : std::string_view());
  return WordRules::read(in);
}

Knowledge load_knowledge(const Database& db) {
  Statement row = db.compiled("knowledge");
  ByteReader in(row.step() ? row.bytes(0) : std::string_view());
  if (in.number() != kMark) throw Error("the database was compiled for another machine or program; build it again with letbe-index");
  Knowledge k;
  k.lexicon = std::make_unique<Lexicon>(load_word_rules(db), [&db](std::string_view w) { return db.general_word(w); });
  k.lexicon->read(in);
  k.tree = PhraseTree::read(in);
  k.sounds = TextTable::read(in);
  k.by_sound = Lists<Tag>::read(in);
  k.sound_words = Lists<std::int32_t>::read(in);
  for (std::size_t n = in.count(1); n > 0; --n) k.materials.push_back(read_material(in));
  k.titles = in.text_map();
  k.cautions = in.text_map();
  k.plain = in.text_map();
  for (std::size_t n = in.count(1); n > 0; --n) {
    SharedName s;
    s.name = in.text();
    s.ids = in.texts();
    s.fallback = in.text();
    k.shared.push_back(std::move(s));
  }
  k.rules = in.array<SeenRule>();
  for (std::size_t n = in.count(1); n > 0; --n) {
    Condition c;
    c.id = in.text();
    c.caution = in.text();
    c.systems = in.texts();
    c.systems_beside = in.texts();
    k.conditions.push_back(std::move(c));
  }
  k.states = static_cast<ConditionSet>(in.number());
  for (auto* list : {&k.always_on_air_path, &k.on_air_path_when_breaking, &k.never_cleared, &k.advice_order}) *list = in.texts();
  for (std::size_t n = in.count(1); n > 0; --n) k.advice_rows.push_back(read_advice_row(in));
  for (std::size_t n = in.count(1); n > 0; --n) k.elsewhere.push_back({in.texts()});
  for (std::size_t n = in.count(1); n > 0; --n) {
    RemarkRule r;
    r.says = in.text();
    r.text = in.text();
    k.remark_rules.push_back(std::move(r));
  }
  for (std::string* text : {&k.place_missing, &k.extent_missing, &k.photo}) *text = in.text();
  k.wording = read_wording(in);
  for (std::size_t i = 0; i < k.materials.size(); ++i) k.material_index[k.materials[i].id] = static_cast<int>(i);
  for (std::size_t i = 0; i < k.conditions.size(); ++i) k.condition_index[k.conditions[i].id] = static_cast<int>(i);
  for (const SeenRule& r : k.rules)
    if (r.material < 0 || static_cast<std::size_t>(r.material) >= k.materials.size() || r.groups < 1)
      throw Error("the database's compiled words are damaged; build it again with letbe-index");
  check_tags(k, k.tree.all_tags());
  check_tags(k, k.by_sound.all());
  k.corpus_version = db.meta("corpus-version");
  return k;
}

}  // namespace kb
