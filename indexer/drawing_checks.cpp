#include "indexer/drawing_checks.h"

#include <expat.h>

#include <algorithm>
#include <array>
#include <memory>
#include <vector>

#include "indexer/page.h"
#include "indexer/problem.h"
#include "kb/drawing.h"

namespace indexer {
namespace {

constexpr std::string_view kBlanks = " \t\n\r";
constexpr std::array<std::string_view, 9> kPainted{"path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan"};

std::vector<std::string> names_in(std::span<const std::string_view> names) { return {names.begin(), names.end()}; }

bool listed(std::span<const std::string_view> names, std::string_view name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> out;
  for (std::size_t at = text.find_first_not_of(kBlanks); at != std::string_view::npos;) {
    const std::size_t end = std::min(text.find_first_of(kBlanks, at), text.size());
    out.emplace_back(text.substr(at, end - at));
    at = text.find_first_not_of(kBlanks, end);
  }
  return out;
}

// Listens to expat and reports what a drawing may not hold, with its line.
class DrawingReader {
 public:
  DrawingReader(std::string_view path, std::string_view id, Problems& problems)
      : path_(path), id_(id), problems_(problems), parser_(XML_ParserCreate("UTF-8")) {
    XML_SetUserData(parser_.get(), this);
    XML_SetElementHandler(parser_.get(), on_start, on_end);
    XML_SetCharacterDataHandler(parser_.get(), on_text);
    XML_SetCommentHandler(parser_.get(), on_comment);
    XML_SetProcessingInstructionHandler(parser_.get(), on_instruction);
    XML_SetXmlDeclHandler(parser_.get(), on_declaration);
    XML_SetStartCdataSectionHandler(parser_.get(), on_cdata);
    XML_SetStartDoctypeDeclHandler(parser_.get(), on_doctype);
  }

  // True when nothing was reported.
  bool read(const std::string& text) {
    if (XML_Parse(parser_.get(), text.data(), static_cast<int>(text.size()), 1) != XML_STATUS_OK) {
      if (!stopped_)
        fault(Rule::drawing_not_xml, std::string("no well-formed XML (") + XML_ErrorString(XML_GetErrorCode(parser_.get())) +
                                         "); close each element and quote each value");
      return false;
    }
    check_words();
    return sound_;
  }

 private:
  struct Free {
    void operator()(XML_Parser parser) const noexcept { XML_ParserFree(parser); }
  };
  struct Open {
    std::string name;
    bool filled = false;  // Here or further out.
  };

  static DrawingReader& of(void* self) { return *static_cast<DrawingReader*>(self); }
  static void XMLCALL on_start(void* self, const XML_Char* name, const XML_Char** attributes) { of(self).start(name, attributes); }
  static void XMLCALL on_end(void* self, const XML_Char*) { of(self).open_.pop_back(); }
  static void XMLCALL on_text(void* self, const XML_Char* text, int size) { of(self).text({text, static_cast<std::size_t>(size)}); }
  static void XMLCALL on_comment(void* self, const XML_Char*) { of(self).refuse("a comment"); }
  static void XMLCALL on_instruction(void* self, const XML_Char*, const XML_Char*) { of(self).refuse("a processing instruction"); }
  static void XMLCALL on_declaration(void* self, const XML_Char*, const XML_Char*, int) { of(self).refuse("an XML declaration"); }
  static void XMLCALL on_cdata(void* self) { of(self).refuse("a CDATA section"); }
  static void XMLCALL on_doctype(void* self, const XML_Char*, const XML_Char*, const XML_Char*, int) {
    of(self).refuse("a document type");
    of(self).stopped_ = true;  // Entities of its own could grow without end.
    XML_StopParser(of(self).parser_.get(), XML_FALSE);
  }

  void fault(Rule rule, const std::string& message) {
    sound_ = false;
    problems_.add(rule, {path_, static_cast<int>(XML_GetCurrentLineNumber(parser_.get()))}, message);
  }

  void refuse(const std::string& what) { fault(Rule::drawing_not_xml, what + "; take it out, a drawing holds elements and text alone"); }

  void start(const std::string& name, const XML_Char** attributes) {
    const bool root = open_.empty();
    Open element{name, !root && open_.back().filled};
    bool view = false, image = false, space = false;
    for (; *attributes != nullptr; attributes += 2) {
      const std::string attribute = attributes[0];
      const std::string value = attributes[1];
      check_attribute(attribute, value, root);
      element.filled = element.filled || attribute == "fill";
      view = view || (attribute == "viewBox" && words_of(value).size() == 4);
      image = image || (attribute == "role" && value == "img");
      space = space || (attribute == "xmlns" && value == kb::kSvgNamespace);
    }
    if (root) check_root(name, view, image, space);
    check_element(name, root);
    if (listed(kPainted, name) && !element.filled)
      fault(Rule::drawing_color, "no fill for this '" + name + "', which is black then, on a dark page too; write fill=\"none\" or fill=\"currentColor\" here or around it");
    open_.push_back(std::move(element));
  }

  void check_root(const std::string& name, bool view, bool image, bool space) {
    if (name != "svg") {
      fault(Rule::drawing_root, "the root is '" + name + "'; begin with an svg element");
    } else if (!space) {
      fault(Rule::drawing_root, "the svg element names no namespace; write xmlns=\"" + std::string(kb::kSvgNamespace) + "\"");
    } else if (!view) {
      fault(Rule::drawing_root, "the svg element has no viewBox of four numbers; write viewBox=\"0 0 WIDTH HEIGHT\"");
    } else if (!image) {
      fault(Rule::drawing_root, "the svg element has no role; write role=\"img\"");
    }
  }

  void check_element(const std::string& name, bool root) {
    const bool words = name == "title" || name == "desc";
    if (!listed(kb::drawing_elements(), name)) {
      const auto known = names_in(kb::drawing_elements());
      fault(Rule::drawing_element, "element '" + name + "'" + or_nearest(name, known, "a drawing is made of " + joined(known)));
    } else if (name == "svg" && !root) {
      fault(Rule::drawing_element, "an svg element inside of another; write 'g'");
    } else if (!root && (open_.back().name == "title" || open_.back().name == "desc")) {
      fault(Rule::drawing_element, "element '" + name + "' in the " + open_.back().name + "; write text alone there");
    } else if (words && (open_.size() != 1 || ++(name == "title" ? titles_ : descs_) > 1)) {
      fault(Rule::drawing_untold, "a " + name + " that is not the drawing's one; write it once, right below the svg element");
    }
  }

  void check_attribute(const std::string& name, const std::string& value, bool root) {
    if (!listed(kb::drawing_attributes(), name)) {
      const auto known = names_in(kb::drawing_attributes());
      fault(Rule::drawing_attribute, "attribute '" + name + "'" + or_nearest(name, known, "only plain ones that shape, place or name are known"));
    } else if ((name == "xmlns" || name == "viewBox" || name == "role") && !root) {
      fault(Rule::drawing_attribute, "attribute '" + name + "' inside of the drawing; it belongs to the svg element alone");
    } else if (name == "fill" || name == "stroke") {
      if (!kb::drawing_color(value)) fault(Rule::drawing_color, name + " '" + value + "'; write currentColor or none, which follow the page into light and dark");
    } else if (name != "xmlns" && !kb::drawing_value(name, value)) {
      fault(Rule::drawing_attribute, name + " '" + value + "' is no plain value; write numbers and words, and no reference");
    } else if (name == "id" || name == "aria-labelledby") {
      for (const std::string& word : words_of(value)) check_id(word);
    }
  }

  // Many drawings may stand in one file.
  void check_id(const std::string& id) {
    if (!id.ends_with("-" + std::string(id_)))
      fault(Rule::drawing_attribute, "id '" + id + "' could meet that of another drawing; end it in '-" + std::string(id_) + "'");
  }

  void text(std::string_view text) {
    if (open_.size() != 2 || text.find_first_not_of(kBlanks) == std::string_view::npos) return;
    if (open_.back().name == "title") title_ = true;
    if (open_.back().name == "desc") desc_ = true;
  }

  void check_words() {
    for (const auto& [name, told] : {std::pair("title", title_), std::pair("desc", desc_)}) {
      if (told) continue;
      sound_ = false;
      problems_.add(Rule::drawing_untold, {path_, 1}, std::string("no ") + name + " with words; write <" + name + "> right below the svg element, for those who do not see the drawing");
    }
  }

  std::string_view path_, id_;
  Problems& problems_;
  std::unique_ptr<XML_ParserStruct, Free> parser_;
  std::vector<Open> open_;
  int titles_ = 0, descs_ = 0;
  bool title_ = false, desc_ = false, sound_ = true, stopped_ = false;
};

}  // namespace

std::optional<std::string> read_drawing(std::string_view path, std::string_view bytes, std::string_view id, Problems& problems) {
  if (bytes.size() > kb::kLargestDrawing) {
    problems.add(Rule::drawing_too_large, {path, 1},
                 "the drawing has " + std::to_string(bytes.size()) + " bytes; keep it within " + std::to_string(kb::kLargestDrawing) + ", with fewer lines or shorter numbers");
    return {};
  }
  auto text = clean_text(path, bytes, problems);
  if (!text) return {};
  text->erase(text->find_last_not_of(kBlanks) + 1);
  if (!DrawingReader(path, id, problems).read(*text)) return {};
  if (!kb::text_of_drawing(*text)) {
    problems.add(Rule::drawing_not_xml, {path, 1}, "a form of XML that letbe does not read; write each value in double quotes, and of entities only &amp; &lt; &gt; &quot; &apos;");
    return {};
  }
  return text;
}

}  // namespace indexer
