"""Pieces of each format's grammar, which fuzzing puts where they do not belong."""

# fmt: off
ABC_TOKENS: tuple[bytes, ...] = tuple(token.encode() for token in (
    *"ABCDEFGabcdefgzxZXy", *"/<>^_=,'-()[]{}|:!+&$\"~.", "//", "3/2", "C/", "z4", "Z2", "X", ">>",
    "|:", ":|", "::", "|]", "[|", "||", "|1", ":|2", "[1", "[1,3", "[1-9", "(3", "(3:2:2", "(9:9:9",
    "[CEG]", "[CEG]2-", "{gfe}", "{/g}", "A-A", "A -A", "-A", '"Am7"', '"^slow"', "!trill!",
    "+fermata+",
    "[K:", "[K:Gm]", "[M:5+3/8]", "[M:", "[L:1/16]", "[V:2]", "[P:B]", "[Q:1/4=120]", "[I:",
    "\nK:Dphr ^f",
    "\nK:none", "\nK:D exp ^f", "\nK:HP", "\nK:C treble+8", "\nK:G octave=9", "\nK:D transpose=-24",
    "\nM:(2+3+2)/8", "\nM:C|", "\nM:none", "\nM:9/8", "\nM:1/64", "\nL:1/1024", "\nL:4",
    "\nQ:1/4=60",
    "\nV:1 clef=bass", "\nV:2\n", "\nP:A", "\nP:((AB)9(CD)9)9", "\nm:~n3=n{o}n/m/n", "\nm:A=BB",
    "\nm:B=AAAAAAAA", "\nw:la-la * _ | la", "\nW:words", "\ns:!f!", "\n+:more", "\nU:T=!trill!",
    "\nX:2", "\nT:Title", "\n%%abc-version 2.1", "%abc-2.1", "\nI:abc-charset iso-8859-15",
    "\n%%propagate-accidentals octave", "\\u00e9", "{\\\"o}", "&amp;", "&#233;", "\\", "\\\n",
))

TAB_TOKENS: tuple[bytes, ...] = tuple(token.encode() for token in (
    *"0123459-|:hp/\\s~().*o=DGBgA#b", "--", "---", "|", "||", ":|", "|:", "2h4", "2p0", "10",
    "22", "99", "%", "|%|", "x2", " x3", "(x16)", "|]", "|x2|", "x", "b", "3b", "3b(4)r3", "sl",
    "s", "ch", "^", "'", "\n   ^   ^", "\n   '   ^", "\n   T I M T", "\n  .   P", "[1.", "[2.",
    " 1 [1,3.", "1.___", "|2.", "\n   G    D7/F#", "\n  1      2", "\t", "\r\n",
    "\nMetre: free", "\nMetre: 3+2/8", "\nTime: C|", "\nTuning: sawmill", "\n1|--0--|", "5|",
    "\nTitle: x", "\nTuning: open G", "\nTuning: double C", "\nTuning: gCGCD", "\nTuning: zzzzz",
    "\nCapo: 2", "\nCapo: 99", "\nMetre: 4/4", "\nMetre: 6/8", "\nMetre: 99/16", "\nKey: G major",
    "\nKey: H", "\nSpacing: 2 characters = 1/8", "\nSpacing: 99 characters = 1/999", "\nX:1", "\n",
    "\nD|--0--|\nB|-----|\nG|-----|\nD|-----|\ng|-----|\n", "D|-----0-----|",
))

LICK_FORMS = ("abc", "notes", "degrees", "tab", "measures")
LICK_TOKENS: tuple[bytes, ...] = tuple(token.encode() for token in (
    *"ABCDEFGabcdefgwhqest0123456789:,.'-/#|♯♭ ", " D4", " E4:q", " F#4:h.", " Bb3:1/3", " C-1",
    " G9",
    ":q", ":e.", ":w...", ":64", ":1e1", ":1/7", ":0", ":-1", ":nan", ":inf", " 4:0", " 5:5:q",
    " 1:22",
    " b3", " #4'", " 5,,", " 15'", "1-2", "5 - 8", "8-5", " | ", "M:5+3/8\n", "K:D\n", "L:1/4\n",
    "X:1\n",
    "[CEG]", "(3", "A-A", ">", "{g}", *(f"{form}\n" for form in LICK_FORMS),
))

KERN_TOKENS: tuple[bytes, ...] = tuple(token.encode() for token in (
    "\t", "\n", "**kern", "*-", "*^", "*v", "*x", "*+", "*", "=", "==", "=1", "=:|!", "=!|:",
    "4c", "8.dd",
    "16ee#", "2r", "[4c", "4c]", "4c_", "{4c", "4c}", "(", ")", "qq", "q8c", "12c", "0c", "00c",
    "1%3c", "5%9c",
    "20c", "4cc 4ee", "*M4/4", "*M5+3/8", "*M6/0", "*met(c)", "*k[f#c#]", "*k[b-e-a-]", "*G:",
    "*a:", "*clefG2",
    "*>[A,A,B]", "*>A", "!!!OTL: x", "!! comment", "*MM120", "*I\"Banjo", "**text", "**dynam", ".",
))
XML_TOKENS: tuple[bytes, ...] = tuple(token.encode() for token in (
    "<", ">", "/>", "</note>", "<note>", "<chord/>", "<rest/>", "<grace/>", "<cue/>",
    "<duration>0</duration>",
    "<duration>-4</duration>", "<type>eighth</type>", "<dot/>", "<tie type=\"start\"/>",
    "<voice>2</voice>",
    "<staff>2</staff>", "<backup><duration>9</duration></backup>",
    "<forward><duration>9</duration></forward>",
    "<pitch><step>B</step><alter>0.5</alter><octave>4</octave></pitch>", "<pitch/>", "<unpitched/>",
    "<time><beats>5+3</beats><beat-type>8</beat-type></time>", "<beats>3+2+4</beats>",
    "<beat-type>0</beat-type>",
    "<time><senza-misura/></time>", "<key><fifths>7</fifths></key>", "<divisions>0</divisions>",
    "<divisions>7</divisions>", "<transpose><chromatic>-2</chromatic></transpose>",
    "<sound tempo=\"0\"/>",
    "<sound dacapo=\"yes\"/>",
    "<barline location=\"right\"><repeat direction=\"backward\"/></barline>",
    "<repeat direction=\"forward\"/>", "<ending number=\"1\" type=\"start\"/>",
    "<measure number=\"1\">",
    "</measure>", "<part id=\"P1\">",
    "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>",
    "<technical><string>9</string><fret>99</fret></technical>", "<lyric><text>la</text></lyric>",
    "&amp;",
    "&bomb;", "<!DOCTYPE x [<!ENTITY bomb \"x\">]>", "<!--", "-->", "<![CDATA[", "]]>",
    "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>",
))
ZIP_TOKENS: tuple[bytes, ...] = (
    b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06", b"META-INF/container.xml", b"score.xml",
    b"../score.xml",
    b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x08\0", b"\x0c\0", b"\x63\0",
)
MIDI_TOKENS: tuple[bytes, ...] = (
    b"MThd\0\0\0\6", b"MTrk", b"\0\x90\x3c\x40", b"\x60\x80\x3c\0", b"\0\xff\x2f\0",
    b"\0\xff\x51\3\7\xa1\x20",
    b"\0\xff\x51\3\0\0\0", b"\0\xff\x58\4\4\2\x18\x08", b"\0\xff\x58\4\1\x0f\x18\x08",
    b"\0\xff\x59\2\xfb\1",
    b"\0\xff\3\5Title", b"\xff\xff\xff\x7f", b"\0\xf0\5\1\2\3\4\xf7", b"\0\xb0\x40\x7f",
    b"\0\xc0\x69",
    b"\0\xe0\0\x40", b"\x81\x00", b"\0\0", b"\x80\1",
)
# fmt: on
