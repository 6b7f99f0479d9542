#include "kb/blocks.h"

#include <algorithm>
#include <cstring>
#include <unordered_set>

#include "kb/wording.h"

namespace kb {
namespace {

constexpr std::string_view kStampMiddle = "; letbe corpus ";
constexpr std::size_t kDigits = 8;

std::string digits_of(std::string_view paragraph) { return sha256_hex(single_blanks(paragraph), kDigits); }

// One line with its bytes, and its text without line end, quote mark and emphasis.
struct Line {
  std::size_t begin = 0, end = 0, next = 0;
  std::string_view text;
};

Line line_at(std::string_view note, std::size_t at) {
  Line line;
  line.begin = at;
  const std::size_t found = note.find('\n', at);
  line.next = found == std::string_view::npos ? note.size() : found + 1;
  line.end = found == std::string_view::npos ? note.size() : found;
  if (line.end > at && note[line.end - 1] == '\r' && found != std::string_view::npos) --line.end;
  std::string_view t = note.substr(at, line.end - at);
  if (t.starts_with("> ")) {
    t.remove_prefix(2);
    if (t.ends_with('\\')) t.remove_suffix(1);
    if (t.starts_with("**") && t.ends_with("**") && t.size() >= 4) t = t.substr(2, t.size() - 4);
    if (t.starts_with('`') && t.ends_with('`') && t.size() >= 2) t = t.substr(1, t.size() - 2);
  }
  line.text = t;
  return line;
}

bool blank(std::string_view text) { return text.find_first_not_of(" \t\r") == std::string_view::npos; }

// Reads a stamp line into `block`. False when the line is no stamp. `digits` gets its digits.
bool read_stamp(std::string_view line, FoundBlock& block, std::string& digits) {
  if (!line.starts_with('[') || !line.ends_with(']')) return false;
  line = line.substr(1, line.size() - 2);
  const std::size_t middle = line.find(kStampMiddle);
  const std::size_t last = line.rfind("; ");
  if (middle == std::string_view::npos || last == std::string_view::npos || last <= middle) return false;
  digits = line.substr(last + 2);
  if (digits.size() != kDigits || digits.find_first_not_of("0123456789abcdef") != std::string::npos) return false;
  block.corpus_version = line.substr(middle + kStampMiddle.size(), last - middle - kStampMiddle.size());
  std::string_view ids = line.substr(0, middle);
  while (!ids.empty()) {
    const std::size_t comma = ids.find(", ");
    block.ids.emplace_back(ids.substr(0, comma));
    ids = comma == std::string_view::npos ? std::string_view() : ids.substr(comma + 2);
  }
  block.stamped = true;
  return true;
}

// Is the title an article's, and the text one we would write under it?
bool unstamped_ours(const Knowledge& k, const FoundBlock& block) {
  return std::any_of(k.titles.begin(), k.titles.end(), [&](const auto& entry) {
    return entry.second == block.title && may_have_written(k, entry.first, block.paragraph);
  });
}

// Reads the block whose caption is the line `caption`; nothing when it is the writer's own text. It ends
// with its stamp, else before an empty line or the next caption: what stands directly above or below a
// block of ours is never taken for a part of it.
std::optional<FoundBlock> block_at(std::string_view note, const Line& caption, const Knowledge& k) {
  FoundBlock block;
  block.title = single_blanks(caption.text.substr(k.wording.caption.size()));
  block.span = {caption.begin, caption.next};
  std::string digits, paragraph;
  for (std::size_t at = caption.next; at < note.size() && !block.stamped;) {
    const Line line = line_at(note, at);
    if (blank(line.text) || line.text.starts_with(k.wording.caption)) break;
    if (!read_stamp(line.text, block, digits)) paragraph.append(line.text).append(" ");
    block.span.end = at = line.next;
  }
  block.paragraph = single_blanks(paragraph);
  if (block.stamped) {
    block.ours = digits_of(block.paragraph) == digits;
    return block;
  }
  block.ours = unstamped_ours(k, block);
  return block.ours ? std::optional(block) : std::nullopt;
}

void pop_line_end(std::string& text) {
  if (!text.ends_with('\n')) return;
  text.pop_back();
  if (text.ends_with('\r')) text.pop_back();
}

// The note without our blocks, and where in it each of them stood.
struct Stripped {
  std::string base;
  std::vector<std::pair<std::size_t, FoundBlock>> ours;
  std::vector<std::pair<std::size_t, std::size_t>> parts{{0, 0}};
};

Stripped take_out(std::string_view note, const Knowledge& k) {
  Stripped out;
  out.base.reserve(note.size());
  std::size_t copied = 0;
  for (FoundBlock& block : find_blocks(note, k)) {
    if (!block.ours) continue;
    out.base.append(note.substr(copied, block.span.begin - copied));
    copied = block.span.end;
    if (copied < note.size()) {
      const Line below = line_at(note, copied);
      if (below.end == below.begin) copied = below.next;  // The one empty line that we set.
    } else {
      pop_line_end(out.base);
      if (!note.ends_with('\n')) pop_line_end(out.base);
    }
    out.parts.emplace_back(out.base.size(), copied);
    out.ours.emplace_back(out.base.size(), std::move(block));
  }
  // At the note's end line ends were taken back: the blocks before stand there too.
  for (auto& [at, block] : out.ours) at = std::min(at, out.base.size());
  for (auto& [in_base, in_note] : out.parts) in_base = std::min(in_base, out.base.size());
  out.base.append(note.substr(copied));
  return out;
}

// The line end to write: that of the note, so that a file keeps one kind where it has one.
std::string line_end(std::string_view base) {
  const std::size_t at = base.find('\n');
  if (base.ends_with('\r')) return "\r\n";  // A bare return at the end must not join a new line's end.
  return at != std::string_view::npos && at > 0 && base[at - 1] == '\r' ? "\r\n" : "\n";
}

std::string stamp_ids(const PlacedBlock& b) {
  std::string ids;
  for (const std::string& id : b.ids) ids += (ids.empty() ? "" : ", ") + id;
  return ids;
}

std::string written(const PlacedBlock& b, const Knowledge& k, const AttachOptions& options, const std::string& end) {
  const std::string stamp = stamp_of(b);
  if (options.form == BlockForm::markdown) {
    std::string out = "> **" + k.wording.caption + b.title + "**\\" + end + "> " + b.paragraph;
    if (options.stamp) out += "\\" + end + "> `" + stamp + "`";
    return out;
  }
  std::string out = k.wording.caption + b.title + end + b.paragraph;
  if (options.stamp) out += end + stamp;
  return out;
}

// What is set after a finding.
PlacedBlock block_of(const Finding& f, std::size_t anchor, const Knowledge& k) {
  PlacedBlock b{anchor, {f.id}, f.title, paragraph(f), k.corpus_version};
  for (const Attached& a : f.attached)
    if (std::find(b.ids.begin(), b.ids.end(), a.id) == b.ids.end()) b.ids.push_back(a.id);
  return b;
}

// Where no block may stand: inside the writer's own text under a caption one could make the words above it
// look like ours. Such a block is put behind that text and one empty line.
struct OwnCaption {
  std::size_t begin, end, anchor;
};

std::vector<OwnCaption> own_captions(std::string_view base, const Knowledge& k) {
  std::vector<OwnCaption> out;
  if (base.find(k.wording.caption) == std::string_view::npos) return out;
  for (std::size_t at = 0; at < base.size();) {
    const Line caption = line_at(base, at);
    at = caption.next;
    if (!caption.text.starts_with(k.wording.caption)) continue;
    if (const auto edited = block_at(base, caption, k)) {
      at = edited->span.end;
      continue;
    }
    Line below{};
    std::size_t anchor = at;
    for (; at < base.size(); anchor = at = below.next) {
      below = line_at(base, at);
      if (below.text.starts_with(k.wording.caption)) break;
      if (!blank(below.text)) continue;
      anchor = below.next;
      break;
    }
    out.push_back({caption.begin, at, anchor});
  }
  return out;
}

// Half a digest of what a block says: short, however long the note, and never the same by chance.
struct Said {
  std::uint64_t first, second;
  bool operator==(const Said&) const = default;
  static Said of(const PlacedBlock& b) {
    Said out{};
    const std::string digest = sha256(b.ids.front() + '\n' + b.paragraph);
    std::memcpy(&out, digest.data(), sizeof out);
    return out;
  }
};
struct SaidHash {
  std::size_t operator()(const Said& s) const { return s.first; }
};

// Sets blocks into a note as they come, in the order of their anchors.
class Setter {
 public:
  Setter(std::string_view base, const std::vector<std::pair<std::size_t, FoundBlock>>& older, const Knowledge& k, const AttachOptions& options)
      : base_(base), older_(older), k_(k), options_(options), own_(own_captions(base, k)), end_(line_end(base)) {}

  // The block as it will stand; nothing when the same paragraph stands in the note already.
  std::optional<PlacedBlock> settle(PlacedBlock b) {
    if (!told_.insert(Said::of(b)).second) return std::nullopt;
    return placed(std::move(b));
  }

  std::optional<PlacedBlock> standard() {
    const Attached text = standard_paragraph(k_, options_.read.plain);
    if (told_.empty() || text.text.empty()) return std::nullopt;
    const auto title = k_.titles.find(text.id);
    return placed({last_, {text.id}, title == k_.titles.end() ? text.id : title->second, text.text, k_.corpus_version});
  }

  // What of the note stands before the block, and the block.
  void set(const PlacedBlock& b, std::string& out) {
    out.append(base_.substr(copied_, b.anchor - copied_));
    copied_ = b.anchor;
    if (b.anchor < base_.size()) {
      out += written(b, k_, options_, end_) + end_ + end_;
    } else if (base_.ends_with('\n')) {
      out += end_ + written(b, k_, options_, end_) + end_;
    } else {
      out += end_ + end_ + written(b, k_, options_, end_);
    }
  }
  // The rest of the note.
  std::string_view rest() const { return base_.substr(copied_); }

 private:
  PlacedBlock placed(PlacedBlock b) {
    last_ = b.anchor;
    for (const OwnCaption& c : own_)
      if (b.anchor > c.begin && b.anchor < c.end) b.anchor = c.anchor;
    if (options_.refresh) return b;
    // A block of an older corpus stays as it was, unless blocks are to be refreshed.
    for (const auto& [at, old] : older_) {
      if (at != b.anchor || !old.stamped || old.corpus_version == b.corpus_version || old.ids.empty() || old.ids.front() != b.ids.front()) continue;
      b.title = old.title;
      b.paragraph = old.paragraph;
      b.ids = old.ids;
      b.corpus_version = old.corpus_version;
    }
    return b;
  }

  std::string_view base_;
  const std::vector<std::pair<std::size_t, FoundBlock>>& older_;
  const Knowledge& k_;
  const AttachOptions& options_;
  std::vector<OwnCaption> own_;
  std::string end_;
  std::unordered_set<Said, SaidHash> told_;
  std::size_t copied_ = 0, last_ = 0;
};

}  // namespace

std::vector<FoundBlock> find_blocks(std::string_view note, const Knowledge& k) {
  std::vector<FoundBlock> out;
  if (note.find(k.wording.caption) == std::string_view::npos) return out;
  for (std::size_t at = 0; at < note.size();) {
    const Line line = line_at(note, at);
    at = line.next;
    if (!line.text.starts_with(k.wording.caption)) continue;
    if (auto block = block_at(note, line, k)) {
      at = block->span.end;
      out.push_back(std::move(*block));
    }
  }
  return out;
}

std::string stamp_of(const PlacedBlock& b) {
  return "[" + stamp_ids(b) + std::string(kStampMiddle) + b.corpus_version + "; " + digits_of(b.paragraph) + "]";
}

std::string strip(std::string_view note, const Knowledge& k) { return take_out(note, k).base; }

std::size_t Attachment::in_note(std::size_t offset) const {
  std::size_t out = offset;
  for (const auto& [base_at, note_at] : parts)
    if (base_at <= offset) out = note_at + (offset - base_at);
  return out;
}

namespace {

// What is not read of a note: blocks that were edited by hand.
std::vector<FoundBlock> edited_blocks(std::string_view base, const Knowledge& k) {
  std::vector<FoundBlock> out = find_blocks(base, k);
  std::erase_if(out, [](const FoundBlock& b) { return b.ours; });
  return out;
}

}  // namespace

Attachment attach(std::string_view note, const Knowledge& k, const AttachOptions& options) {
  Stripped stripped = take_out(note, k);
  Attachment out;
  ReadOptions read = options.read;
  out.base = std::move(stripped.base);
  // Edited blocks are looked for in what will be read: one of ours may have stood inside.
  const std::vector<FoundBlock> edited = edited_blocks(out.base, k);
  for (const FoundBlock& b : edited) read.skip.push_back(b.span);
  out.parts = std::move(stripped.parts);
  out.reading = read_note(out.base, k, read);
  for (const FoundBlock& b : edited)
    out.reading.remarks.push_back({b.span, "This block was edited by hand after it was attached; it is left as it is and not read."});
  Setter setter(out.base, stripped.ours, k, options);
  for (const ObservationReading& o : out.reading.observations)
    for (const Finding& f : o.findings) {
      ++out.blocks;
      if (auto b = setter.settle(block_of(f, o.layout.anchor, k))) out.placed.push_back(std::move(*b));
    }
  if (auto b = setter.standard()) out.placed.push_back(std::move(*b));
  if (!options.text) return out;
  out.text.reserve(out.base.size() + out.placed.size() * 700);
  for (const PlacedBlock& b : out.placed) setter.set(b, out.text);
  out.text += setter.rest();
  return out;
}

bool attach_by_parts(std::string_view note, const Knowledge& k, const AttachOptions& options, const std::function<void(std::string_view)>& part) {
  Stripped stripped;
  if (note.find(k.wording.caption) != std::string_view::npos) stripped = take_out(note, k);
  const std::string_view base = stripped.ours.empty() ? note : std::string_view(stripped.base);
  ReadOptions read = options.read;
  for (const FoundBlock& b : edited_blocks(base, k)) read.skip.push_back(b.span);
  Setter setter(base, stripped.ours, k, options);
  std::string out;
  bool any = false;
  const auto set = [&](const std::optional<PlacedBlock>& b) {
    if (!b) return;
    any = true;
    setter.set(*b, out);
    part(out);
    out.clear();
  };
  read_note_by_parts(base, k, read, [&](ObservationReading&& o, std::vector<Remark>&&) {
    for (const Finding& f : o.findings) set(setter.settle(block_of(f, o.layout.anchor, k)));
  });
  set(setter.standard());
  part(setter.rest());
  return any;
}

}  // namespace kb
