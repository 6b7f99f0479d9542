"""Two plain searches over the same articles, for comparison: FTS5's bm25 with porter and an OR of the words, and
Xapian with stemming (Debian's xapian-omega and xapian-tools; left out, and said so, when they are missing)."""
import os
import re
import shutil
import sqlite3
import subprocess
import tempfile

BEST = 10


def pages(articles):
    """(id, text) of every article: its front matter and body as one text."""
    out = []
    for folder, _, names in sorted(os.walk(articles)):
        for name in sorted(names):
            if name.endswith(".md"):
                with open(os.path.join(folder, name), encoding="utf-8") as file:
                    out.append((name[:-3], file.read()))
    return out


def words(text):
    return re.findall(r"[a-z0-9]+", text.lower())


def fts5(articles, questions):
    """Rankings by question id."""
    db = sqlite3.connect(":memory:")
    db.execute("CREATE VIRTUAL TABLE t USING fts5(id UNINDEXED, body, tokenize='porter unicode61')")
    db.executemany("INSERT INTO t VALUES(?,?)", pages(articles))
    out = {}
    for q in questions:
        match = " OR ".join('"%s"' % w for w in words(q["text"])) or '""'
        out[q["id"]] = [row[0] for row in db.execute(
            "SELECT id FROM t WHERE t MATCH ? ORDER BY bm25(t), rowid LIMIT ?", (match, BEST))]
    return out


def xapian(articles, questions):
    """Rankings by question id, or None when Xapian's programs are missing."""
    if not (shutil.which("quest") and shutil.which("scriptindex")):
        return None
    with tempfile.TemporaryDirectory() as folder:
        script, data, db = (os.path.join(folder, n) for n in ("index", "data", "db"))
        with open(script, "w", encoding="ascii") as file:
            file.write("id : field\ntext : index\n")
        with open(data, "w", encoding="utf-8") as file:
            for name, text in pages(articles):
                file.write("id=%s\ntext=%s\n\n" % (name, " ".join(text.split())))
        subprocess.run(["scriptindex", "-s", "english", db, script, data], check=True, stdout=subprocess.DEVNULL)
        out = {}
        for q in questions:
            query = " OR ".join(words(q["text"]))
            told = subprocess.run(["quest", "-d", db, "-s", "english", "-m", str(BEST), query], check=True, capture_output=True, text=True).stdout
            out[q["id"]] = re.findall(r"(?m)^id=(\S+)$", told)
        return out
