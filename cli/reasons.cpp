#include "cli/reasons.h"

#include <sstream>

#include "cli/terminal.h"
#include "kb/summary.h"

namespace cli {
namespace {

class Reasons {
 public:
  Reasons(const kb::Attachment& attachment, const kb::Knowledge& knowledge) : a_(attachment), k_(knowledge) {}

  std::string text() {
    for (const kb::ObservationReading& o : a_.reading.observations) {
      for (const kb::Finding& f : o.findings) finding(f, o);
      for (const kb::LeftOut& l : o.left_out) {
        out_ << place(o.layout.span) << "left out: " << l.id << " (" << l.because << ")" << words(l.evidence) << "\n";
      }
    }
    for (const kb::Remark& r : a_.reading.remarks) out_ << place(r.span) << "remark: " << r.text << "\n";
    return sanitize_for_terminal(out_.str());
  }

 private:
  void finding(const kb::Finding& f, const kb::ObservationReading& o) {
    out_ << place(o.layout.span) << "attached: " << f.id << (f.named ? " (named)" : " (described)") << words(f.evidence) << "\n";
    std::string conditions;
    for (const std::string& id : k_.ids_of(f.conditions)) conditions += (conditions.empty() ? "" : ", ") + id;
    out_ << "    advice " << f.advice << ": " << f.because;
    if (!conditions.empty()) out_ << "; conditions " << conditions;
    if (!f.severity.empty()) out_ << " (" << f.severity << ")";
    if (!f.tested.empty()) out_ << "; tested " << f.tested;
    if (f.period != "unknown" && f.year) out_ << "; " << *f.year << " is " << f.period << (f.period == "within" ? "" : " the end of") << " its common years";
    if (f.hearsay) out_ << "; somebody's word only, kept as said";
    out_ << "\n";
  }

  std::string words(const std::vector<kb::Evidence>& evidence) const {
    std::string out;
    for (const kb::Evidence& e : evidence) {
      std::string quoted = a_.base.substr(e.span.begin, e.span.end - e.span.begin);
      for (char& c : quoted)
        if (c == '\n' || c == '\r') c = ' ';
      out += "; " + e.says + " \"" + quoted + "\"";
    }
    return out;
  }

  std::string place(kb::Span span) const {
    return "line " + std::to_string(kb::line_of(a_, span.begin)) + ": ";
  }

  const kb::Attachment& a_;
  const kb::Knowledge& k_;
  std::ostringstream out_;
};

}  // namespace

std::string reasons(const kb::Attachment& attachment, const kb::Knowledge& knowledge) { return Reasons(attachment, knowledge).text(); }

}  // namespace cli
