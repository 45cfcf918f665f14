"""Wrong springs, and what must be said of each: the tables behind `test_bad_input_springs`."""

FRONT = 'spring = { wheel_rate = "38 N/mm" }'
REAR = 'spring = { rate = "36 N/mm", second_stage = { after = "55 mm", rate = "60 N/mm" } }'
CHANGE = 'rear_spring = { rate = "44 N/mm" }'

HELICAL = (
    'wire_diameter = "14.5 mm", mean_coil_diameter = "120 mm", active_coils = 7.5, '
    'free_length = "460 mm", block_length = "138 mm"'
)
COIL = f"spring = {{ helical = {{ {HELICAL} }}, motion_ratio = 0.62 }}"
HELPER = (
    'helper = { span = "900 mm", full_length_thickness = ["11 mm"], full_length_width = '
    '["60 mm"], after = "55 mm", contact_travel = "10 mm" }'
)
LEAVES = (
    'span = "1250 mm", inactive_length = "90 mm", full_length_thickness = ["7 mm", "7 mm"], '
    'full_length_width = ["60 mm"], graduated_thickness = ["7 mm", "7 mm", "8 mm"]'
)
PACK = f"spring = {{ leaf_pack = {{ {LEAVES}, {HELPER} }}, friction = 0.07 }}"

# Of the coil in front: what to replace, by what, what the one line must hold.
BAD_COILS = [
    (
        'wire_diameter = "14.5 mm", ',
        "",
        "front.spring.helical.wire_diameter: missing; allowed 4 mm",
    ),
    ('"14.5 mm"', '"14.5"', 'helical.wire_diameter: found "14.5", without a unit'),
    ('"14.5 mm"', '"14.5 kg"', "helical.wire_diameter: found"),
    ('"14.5 mm"', '"145 mm"', "(read as 145 mm); allowed 4 mm to 40 mm; check"),
    ('"14.5 mm"', '"nan mm"', 'helical.wire_diameter: found "nan mm", where no number'),
    ('"14.5 mm"', '"class default"', "which this key does not take"),
    ("active_coils = 7.5", "active_coils = 0", "helical.active_coils: found the number 0 (read"),
    ("active_coils = 7.5", "active_coils = inf", "helical.active_coils: found the number inf"),
    ("active_coils = 7.5", "active_coils = true", "helical.active_coils: found the word true"),
    ('"460 mm"', '"-460 mm"', "helical.free_length: found"),
    ('"138 mm"', '"138,5 mm"', 'helical.block_length: found "138,5 mm", with a comma'),
    (
        'block_length = "138 mm"',
        'block_length = "138 mm", shear_modulus = "79.3 MPa"',
        "helical.shear_modulus: found",
    ),
    (
        'block_length = "138 mm"',
        'block_length = "138 mm", shear_module = "79.3 GPa"',
        'helical.shear_module: unknown key; the nearest known key is "shear_modulus"',
    ),
    (
        '"138 mm"',
        '"100 mm"',
        "helical.block_length: found 100 mm; allowed from the active coils times the wire, "
        "108.75 mm, to below the free length, 460 mm; check all four",
    ),
    ('"138 mm"', '"460 mm"', "helical.block_length: found 460 mm; allowed from"),
    (
        '"120 mm"',
        '"40 mm"',
        "helical.mean_coil_diameter: found 40 mm, 2.76 times the wire; allowed 3 to 20 times; "
        "measure",
    ),
    ('"120 mm"', '"300 mm"', "helical.mean_coil_diameter: found 300 mm, 20.7 times"),
    (
        'wire_diameter = "14.5 mm", mean_coil_diameter = "120 mm"',
        'wire_diameter = "5 mm", mean_coil_diameter = "95 mm"',
        "front.spring.helical: found dimensions that give 0.96345 N/mm; allowed 2 N/mm to 1000 "
        "N/mm; check each",
    ),
    (
        '"460 mm"',
        '"300 mm"',
        "front.spring.helical: the coils close at 5477 N, but the spring carries 8106 N; check",
    ),
    (
        ", motion_ratio = 0.62",
        "",
        "front.spring.motion_ratio: missing; on independent suspension helical is the spring's own",
    ),
    (
        ", motion_ratio = 0.62",
        ', motion_ratio = 0.62, second_stage = { after = "9 mm", rate = "9 N/mm" }',
        "front.spring.second_stage: a coil spring by dimensions takes none",
    ),
    (
        ", motion_ratio = 0.62",
        ', motion_ratio = 0.62, rate = "60 N/mm"',
        "front.spring: found rate and helical; allowed one of rate, wheel_rate, table, helical, "
        "leaf_pack, load_test; give exactly one",
    ),
    (
        ", motion_ratio = 0.62",
        ', motion_ratio = 0.62, load = "500 kg"',
        "front.spring.load: only a replaced spring",
    ),
    (
        f"{{ {HELICAL} }}",
        "5",
        "front.spring.helical: found the number 5; allowed a table with wire",
    ),
    (f"{{ {HELICAL} }}", '"stiff"', 'front.spring.helical: found "stiff"; allowed a table with'),
]

# Of the leaf pack at the rear.
BAD_PACKS = [
    (
        'span = "1250 mm"',
        "span = 1250",
        "rear.spring.leaf_pack.span: found the number 1250, without",
    ),
    ('span = "1250 mm", ', "", "rear.spring.leaf_pack.span: missing; allowed 300 mm to 2500 mm"),
    (
        'full_length_thickness = ["7 mm", "7 mm"], ',
        "",
        "leaf_pack.full_length_thickness: missing; allowed 2 mm to 40 mm",
    ),
    ('["7 mm", "7 mm"]', "[]", "leaf_pack.full_length_thickness: found a list of 0; write a list"),
    ('["7 mm", "7 mm"]', '"7 mm"', 'leaf_pack.full_length_thickness: found "7 mm"; write a list'),
    ('["7 mm", "7 mm"]', '["7 mm", "70 mm"]', "(read as 70 mm); allowed 2 mm to 40 mm"),
    ('["7 mm", "7 mm"]', '["7 mm", 7]', "leaf_pack.full_length_thickness: found the number 7, "),
    (
        'full_length_width = ["60 mm"], grad',
        'full_length_width = ["60 mm", "60 mm", "50 mm"], graduated_width = ["60 mm"], grad',
        "leaf_pack.full_length_width: found 3 widths for 2 leaves; allowed 1 for all or 2; write",
    ),
    (
        'full_length_width = ["60 mm"], grad',
        'full_length_width = ["60 mm", "50 mm"], grad',
        "leaf_pack.graduated_width: missing; the full-length leaves have more than one width; add",
    ),
    (
        'graduated_thickness = ["7 mm", "7 mm", "8 mm"]',
        'graduated_width = ["60 mm"]',
        "leaf_pack.graduated_thickness: missing; graduated_width needs it",
    ),
    (
        'graduated_thickness = ["7 mm", "7 mm", "8 mm"]',
        'nip = "3 mm"',
        "leaf_pack.nip: a pack without graduated leaves has none",
    ),
    (
        'full_length_width = ["60 mm"], graduated_thickness = ["7 mm"',
        'full_length_width = ["20 mm"], graduated_thickness = ["21 mm"',
        "leaf_pack.graduated_thickness[1]: found 21 mm on a width of 20 mm; allowed",
    ),
    (
        'span = "1250 mm", inactive_length = "90 mm"',
        'span = "400 mm", inactive_length = "410 mm"',
        "leaf_pack.inactive_length: found 410 mm; allowed less than the span, 400 mm; measure",
    ),
    (
        'span = "1250 mm", inactive_length = "90 mm"',
        'span = "400 mm", inactive_length = "300 mm"',
        "rear.spring.leaf_pack: found dimensions that give 73402 N/mm; allowed 2 N/mm to 1000",
    ),
    ('after = "55 mm", ', "", "leaf_pack.helper.after: missing; allowed -300 mm to 500 mm"),
    ('"10 mm" }', '"-1 mm" }', "leaf_pack.helper.contact_travel: found"),
    (
        'span = "900 mm"',
        'span = "300 mm", inactive_length = "200 mm"',
        "rear.spring.leaf_pack.helper: found dimensions that give 65805 N/mm; allowed 1 N/mm",
    ),
    (HELPER, 'helper = "two"', 'leaf_pack.helper: found "two"; allowed a table with span'),
    (
        "friction = 0.07",
        'second_stage = { after = "9 mm", rate = "9 N/mm" }',
        "rear.spring.second_stage: a leaf pack takes leaf_pack.helper instead",
    ),
    ("friction = 0.07", "motion_ratio = 0.7", "rear.spring.motion_ratio: a solid axle has none"),
    (
        "friction = 0.07",
        "friction = 7",
        "rear.spring.friction: found the number 7 (read as 7); all",
    ),
    ("friction = 0.07", "friction = -0.07", "rear.spring.friction: found the number -0.07"),
    ("friction = 0.07", 'friction = "7 %"', 'rear.spring.friction: found "7 %"'),
    ("friction = 0.07", "friction = nan", "rear.spring.friction: found the number nan"),
    ("friction = 0.07", 'loop_width = "-1 N"', "rear.spring.loop_width: found"),
    ("friction = 0.07", 'loop_width = "9 N/mm"', "rear.spring.loop_width: found"),
    (
        "friction = 0.07",
        'friction = 0.07, loop_width = "500 N"',
        "rear.spring.loop_width: found beside friction; allowed one of the two; remove one",
    ),
]

BAD_BRANCHES = [
    (
        "travel_mm,force_N,unloading_N\n0,1000,900\n90,9000,9100\n",
        "",
        'spring.table: "a.csv" unloads at 9100 N, above its loading force 9000 N at 90 mm',
    ),
    (
        "travel_mm,force_N,unloading_N\n0,1000,900\n50,4000,800\n90,9000,8000\n",
        "",
        "is not monotonic: its unloading does not rise between 0 mm, 1000 N, 900 N and 50 mm",
    ),
    (
        "travel_mm,force_N,unloading_N\n0,1000,900\n90,9000,\n",
        "",
        'row 3: unloading "" is not a number',
    ),
    (
        "travel_mm,force_N,unloading_mm\n0,1000,900\n90,9000,8000\n",
        "",
        'header: found "1 mm", whose unit is not one of force',
    ),
    (
        "travel_mm,force_N,unloading_N\n0,1000,900\n90,9000,8000\n",
        ", friction = 0.07",
        "spring.friction: the table's unloading column holds the friction already; remove one",
    ),
    (
        "travel_mm,force_N,unloading_N\n0,1000,900\n90,9000,8000\n",
        ', loop_width = "9 N"',
        "spring.loop_width: the table's unloading column holds the friction already",
    ),
]
