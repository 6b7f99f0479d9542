// The blocks that letbe attaches to a note, found again and taken out again.
//
// A block is a caption line ("Asbestos caution: TITLE"), one paragraph without an empty line, and a
// stamp line: "[article ids; letbe corpus VERSION; DIGITS]", DIGITS the first eight hex digits of the
// SHA-256 of the paragraph with every run of white space as one blank. The markdown form is the same
// behind "> ", the caption bold, the stamp as code. A block ends with its stamp, one without a stamp
// before the next empty line or caption.
//
// How blocks are set keeps the note's bytes recoverable: inside a note a block and one empty line stand
// right before what follows; at the end of a note that closes its last line, one empty line and the
// block; at the end of one that does not, two line ends and the block without one. Inside the writer's
// own text under a caption none is set: it follows that text.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "kb/reading.h"

namespace kb {

enum class BlockForm : std::uint8_t { text, markdown };

// A block found in a note.
struct FoundBlock {
  Span span;                      // From its caption to the end of its last line.
  std::string title, paragraph;   // White space made single.
  std::vector<std::string> ids;   // Of the stamp; empty without one.
  std::string corpus_version;     // Of the stamp.
  bool stamped = false;
  bool ours = false;              // False: stamped, and edited by hand since.
};

// Our blocks of `note` and the stamped ones that were edited, in order. Other text under such a
// caption is the writer's own and is not listed.
std::vector<FoundBlock> find_blocks(std::string_view note, const Knowledge& knowledge);

// A block that is set: where in the note without blocks, and what it says.
struct PlacedBlock {
  std::size_t anchor = 0;
  std::vector<std::string> ids;     // Of articles; the material's first.
  std::string title, paragraph, corpus_version;
};

// The stamp line of a block: "[ids; letbe corpus VERSION; DIGITS]".
std::string stamp_of(const PlacedBlock& block);

// `note` without the blocks that are ours. For a note without such blocks, the note.
std::string strip(std::string_view note, const Knowledge& knowledge);

struct AttachOptions {
  ReadOptions read;
  BlockForm form = BlockForm::text;
  bool stamp = true;
  bool refresh = false;           // Replace blocks of an older corpus version; else they stay.
  bool text = true;               // Make Attachment::text; rows of a table have no use for it.
};

struct Attachment {
  std::string text;               // The note with blocks; the note itself when nothing attaches. See AttachOptions.
  std::string base;               // The note without our blocks, which `reading` spans count in.
  Reading reading;
  std::vector<PlacedBlock> placed; // The blocks of `text` in order, the standard paragraph last.
  // Where parts of `base` stand in the note as given: (offset in base, offset in note), rising.
  std::vector<std::pair<std::size_t, std::size_t>> parts;
  // The offset in the note as given of an offset in `base`.
  std::size_t in_note(std::size_t offset) const;
  int blocks = 0;                 // Attached for findings; the standard paragraph is not counted.
};

// Reads `note` without its blocks and attaches blocks anew.
Attachment attach(std::string_view note, const Knowledge& knowledge, const AttachOptions& options);

// The text that attach() makes, handed over part by part in memory that does not grow with the findings:
// for very long notes. True when something was attached.
bool attach_by_parts(std::string_view note, const Knowledge& knowledge, const AttachOptions& options,
                     const std::function<void(std::string_view)>& part);

}  // namespace kb
