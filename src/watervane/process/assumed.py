"""What tap water is taken to hold where its keeper does not tell (house estimates)."""

ASSUMED = {
    "ph": 7.6,
    "kh_dkh": 5.0,
    "nitrate_mg_n_per_l": 1.5,
    "chloramine_mg_per_l": 1.0,
    "chloride_mg_per_l": 20.0,
}
