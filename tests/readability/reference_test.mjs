// letbe's readability figures against general-purpose reference packages.
//
// flesch, flesch-kincaid: the formulas. cmu-pronouncing-dictionary: spoken syllables of general
// English (Carnegie Mellon University, open data). text-readability: whole texts, with a counter of
// its own. Run through ctest, in the folder that has node_modules.
import assert from 'node:assert/strict'
import {spawnSync} from 'node:child_process'
import {readFileSync} from 'node:fs'
import test from 'node:test'
import {createRequire} from 'node:module'
import {pathToFileURL} from 'node:url'

const [counts, letbe, wordList] = ['LETBE_COUNTS', 'LETBE', 'LETBE_WORDS'].map((name) => {
  assert.ok(process.env[name], name + ' is not set; run it through ctest')
  return process.env[name]
})
// Packages stand where they were installed, not beside this file.
const require = createRequire(process.cwd() + '/')
const load = (name) => import(pathToFileURL(require.resolve(name)).href)

// Agreement with the dictionary, and with the other counter, that must at least be reached.
const LEAST_CORPUS_WORDS = 0.97
const LEAST_GENERAL_WORDS = 0.95
const MOST_GRADES_APART = 1.0

function run(command, args, input) {
  const done = spawnSync(command, args, {input, encoding: 'utf8', maxBuffer: 1 << 28})
  assert.equal(done.status, 0, command + ': ' + done.stderr)
  return done.stdout
}

const countAll = (texts) =>
  run(counts, [], texts.map((t) => JSON.stringify(t)).join('\n') + '\n').trim().split('\n').map((line) => JSON.parse(line))

// A section's markdown as a reader sees it, one sentence or item closed by a full stop.
function plain(markdown) {
  return markdown
    .split('\n')
    .map((line) => line.replace(/^\s*(?:[-*]|\d+\.)\s+/, '').replace(/[*_`]/g, '').trim())
    .filter((line) => line !== '')
    .map((line) => (/[.?!]"?$/.test(line) ? line : line.replace(/[:;,]$/, '') + '.'))
    .join(' ')
}

const ids = JSON.parse(run(letbe, ['list', '--json'])).articles.map((article) => article.id)
const pages = ids.map((id) => JSON.parse(run(letbe, ['read', id, '--json'])))
const homeowner = pages.flatMap((page) => {
  const text = page.sections
    .filter((s) => page.kind === 'homeowner' || s.heading === 'For the homeowner')
    .map((s) => plain(s.markdown))
    .join(' ')
  return text === '' ? [] : [{id: page.id, text}]
})

test('the formulas are those of the reference packages, for every text a homeowner reads', async () => {
  const {flesch} = await load('flesch')
  const {fleschKincaid} = await load('flesch-kincaid')
  assert.ok(homeowner.length >= 90, 'only ' + homeowner.length + ' texts')
  for (const [i, c] of countAll(homeowner.map((page) => page.text)).entries()) {
    const same = {sentence: c.sentences, word: c.words, syllable: c.syllables}
    assert.ok(Math.abs(flesch(same) - c.ease) < 1e-9, homeowner[i].id)
    assert.ok(Math.abs(fleschKincaid(same) - c.grade) < 1e-9, homeowner[i].id)
  }
})

test('syllables agree with the pronouncing dictionary', async () => {
  const {dictionary} = await load('cmu-pronouncing-dictionary')
  const spoken = new Map()
  for (const [entry, sounds] of Object.entries(dictionary)) {
    const word = entry.replace(/\(\d\)$/, '')
    if (!/^[a-z]+$/.test(word)) continue
    if (!spoken.has(word)) spoken.set(word, new Set())
    spoken.get(word).add((sounds.match(/\d/g) ?? []).length)
  }
  const agreement = (words) => {
    const known = words.filter((word) => spoken.has(word))
    assert.ok(known.length > 1000, 'only ' + known.length + ' words')
    const same = countAll(known).filter((c, i) => spoken.get(known[i]).has(c.word)).length
    return same / known.length
  }
  const corpus = new Set(pages.flatMap((page) => page.sections.flatMap((s) => (s.markdown).toLowerCase().match(/[a-z]+/g) ?? [])))
  const general = new Set(readFileSync(wordList, 'utf8').toLowerCase().split('\n').filter((word) => /^[a-z]+$/.test(word)))
  const [ours, all] = [agreement([...corpus]), agreement([...general])]
  console.log('syllables as in the dictionary: %s of the corpus, %s of the general list', ours.toFixed(4), all.toFixed(4))
  assert.ok(ours >= LEAST_CORPUS_WORDS, 'corpus words: ' + ours)
  assert.ok(all >= LEAST_GENERAL_WORDS, 'general words: ' + all)
})

test('whole texts are counted alike by a program with counts of its own', async () => {
  const {fleschKincaid} = await load('flesch-kincaid')
  const loaded = await load('text-readability')
  const other = loaded.default ?? loaded
  let widest = 0
  let sum = 0
  const found = countAll(homeowner.map((page) => page.text))
  for (const [i, c] of found.entries()) {
    const {id, text} = homeowner[i]
    assert.equal(c.words, other.lexiconCount(text, true), id + ': words')
    // Its grade from its own counts: the one it prints is made of means rounded to one digit, and
    // it does not count a sentence of one or two words.
    const theirs = {sentence: other.sentenceCount(text), word: c.words, syllable: other.syllableCount(text)}
    const difference = c.grade - fleschKincaid(theirs)
    sum += difference
    widest = Math.max(widest, Math.abs(difference))
    assert.ok(Math.abs(difference) <= MOST_GRADES_APART, id + ': ' + c.grade + ', ' + difference + ' apart')
  }
  console.log('%d texts: %s grades apart at most, %s on average', found.length, widest.toFixed(2), (sum / found.length).toFixed(2))
})
