#include "indexer/yaml_value.h"

#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <sstream>
#include <utility>

#include "indexer/plain_yaml.h"
#include "indexer/timing.h"

namespace indexer {
namespace {

bool has_control(std::string_view text) {
  return std::any_of(text.begin(), text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F;
  });
}

Value empty_value(Value::Kind kind, Place place) {
  Value value;
  value.kind = kind;
  value.place = place;
  return value;
}

// Builds the tree from yaml-cpp's events.
class Builder : public YAML::EventHandler {
 public:
  Builder(Place first, Problems& problems) : first_(first), problems_(problems) {}

  Value take() { return std::move(root_); }

  void OnDocumentStart(const YAML::Mark&) override {}
  void OnDocumentEnd() override {}

  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    refuse_anchor(mark, anchor);
    put(empty_value(Value::Kind::null, place(mark)));
  }

  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    problems_.add(Rule::invalid_yaml, place(mark),
                  "an alias ('*'); write the value out, or quote it");
    put(empty_value(Value::Kind::null, place(mark)));
  }

  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& text) override {
    refuse_anchor(mark, anchor);
    if (tag != "?" && tag != "!") refuse_tag(mark);
    if (has_control(text))
      problems_.add(Rule::not_utf8, place(mark), "a control character; write plain text");
    Value value = empty_value(Value::Kind::text, place(mark));
    value.text = text;
    value.quoted = tag == "!";
    put(std::move(value));
  }

  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value) override {
    open(Value::Kind::list, mark, tag, anchor);
  }
  void OnSequenceEnd() override { close(); }

  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value) override {
    open(Value::Kind::map, mark, tag, anchor);
  }
  void OnMapEnd() override { close(); }

 private:
  // A list or mapping that is not finished; a mapping holds the key whose value comes next.
  struct Open {
    Value value;
    bool has_key = false;
    bool drop = false;  // The key was no word: its value goes nowhere.
    std::string key;
    Place key_place;
  };

  Place place(const YAML::Mark& mark) const {
    return {first_.file, first_.line + std::max(mark.line, 0)};
  }

  void refuse_anchor(const YAML::Mark& mark, YAML::anchor_t anchor) {
    if (anchor != 0)
      problems_.add(Rule::invalid_yaml, place(mark),
                    "an anchor ('&'); write the value out, or quote it");
  }

  void refuse_tag(const YAML::Mark& mark) {
    problems_.add(Rule::invalid_yaml, place(mark), "a tag ('!'); write plain text, or quote it");
  }

  void open(Value::Kind kind, const YAML::Mark& mark, const std::string& tag,
            YAML::anchor_t anchor) {
    refuse_anchor(mark, anchor);
    if (!tag.empty() && tag != "?") refuse_tag(mark);
    stack_.emplace_back().value = empty_value(kind, place(mark));
  }

  void close() {
    Value done = std::move(stack_.back().value);
    stack_.pop_back();
    put(std::move(done));
  }

  void put(Value value) {
    if (stack_.empty()) {
      root_ = std::move(value);
      return;
    }
    Open& parent = stack_.back();
    if (parent.value.is_list()) {
      parent.value.items.push_back(std::move(value));
    } else if (!parent.has_key) {
      take_key(parent, value);
    } else {
      parent.has_key = false;
      if (!parent.drop) add_member(parent, std::move(value));
    }
  }

  void take_key(Open& parent, const Value& value) {
    if (!value.is_text())
      problems_.add(Rule::invalid_yaml, value.place, "a key that is no word; write 'key: value'");
    parent.has_key = true;
    parent.drop = !value.is_text();
    parent.key = value.text;
    parent.key_place = value.place;
  }

  void add_member(Open& parent, Value value) {
    for (const Member& other : parent.value.members) {
      if (other.key != parent.key) continue;
      problems_.add(Rule::repeated_key, parent.key_place,
                    "repeated key '" + parent.key + "', first on line " +
                        std::to_string(other.place.line) + "; keep one of them");
      return;
    }
    // The mark of an empty value is where the next one begins.
    if (value.kind == Value::Kind::null) value.place = parent.key_place;
    parent.value.members.push_back({parent.key, parent.key_place, std::move(value)});
  }

  Place first_;
  Problems& problems_;
  Value root_;
  std::vector<Open> stack_;
};

}  // namespace

const Value* Value::find(std::string_view key) const {
  for (const Member& member : members)
    if (member.key == key) return &member.value;
  return nullptr;
}

std::optional<Value> parse_yaml(std::string_view text, Place first, Problems& problems) {
  const StageTime time(Stage::yaml);
  if (auto plain = parse_plain_yaml(text, first)) return plain;
  return parse_any_yaml(text, first, problems);
}

std::optional<Value> parse_any_yaml(std::string_view text, Place first, Problems& problems) {
  Builder builder(first, problems);
  try {
    std::istringstream stream{std::string(text)};
    YAML::Parser parser(stream);
    parser.HandleNextDocument(builder);
    Value value = builder.take();
    if (value.place.file.empty()) value.place = first;
    Problems ignored;
    Builder rest(first, ignored);
    if (parser.HandleNextDocument(rest))
      problems.add(Rule::invalid_yaml, rest.take().place,
                   "a second document; take out the '---' or '...'");
    return value;
  } catch (const YAML::ParserException& e) {
    problems.add(
        Rule::invalid_yaml, {first.file, first.line + std::max(e.mark.line, 0)},
        "invalid YAML (" + e.msg + "); quote a value that holds ': ', '#' or a quotation mark");
  } catch (const YAML::Exception& e) {
    problems.add(Rule::invalid_yaml, first, std::string("invalid YAML (") + e.what() + ")");
  }
  return {};
}

}  // namespace indexer
