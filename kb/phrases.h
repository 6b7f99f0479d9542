// Phrases of the corpus as one tree of words, walked once over a text.
//
// A phrase is a row of lexicon words; what it means is a tag the caller chose. Signs other than
// hyphens, quotation marks, slashes and line ends break a phrase, so "cement, pipe" is not "cement pipe".
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "kb/frozen.h"
#include "kb/lexicon.h"

namespace kb {

// What a phrase means: `kind` is the family, `item` and `part` are the owner's own numbers.
struct Tag {
  std::uint16_t kind = 0;
  std::int16_t part = 0;
  std::int32_t item = 0;
};

// A phrase found: tokens [first, last) of the text.
struct Match {
  std::uint32_t first = 0;
  std::uint32_t last = 0;
  Tag tag;
};

class PhraseTree {
 public:
  // Adds `phrase` under `tag`; the lexicon must be in its learning mode. A phrase without a word
  // is ignored (the indexer refuses it before).
  void add(std::string_view phrase, Tag tag, Lexicon& lexicon) { add(read_tokens(phrase, lexicon), tag); }
  void add(const std::vector<Token>& phrase, Tag tag);
  // Every phrase that starts anywhere in `tokens`, overlapping ones too, by first token, then length.
  // Only after complete().
  std::vector<Match> scan(const std::vector<Token>& tokens) const;
  // No phrase is added after this.
  void complete();
  const std::vector<Tag>& all_tags() const { return tags_.all(); }

  void write(ByteWriter& out) const;
  static PhraseTree read(ByteReader& in);

 private:
  std::uint32_t nodes_ = 1;            // The root is node 0.
  EdgeTable next_;                     // (node, word) to node.
  Lists<Tag> tags_;                    // By node.
  std::vector<std::uint8_t> starts_;   // By word: does any phrase begin with it?
};

}  // namespace kb
