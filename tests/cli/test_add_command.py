def test_an_empty_path_is_no_path_and_never_means_the_folder_one_is_in(run):
    outcome = run("add", "")
    assert outcome.code == 2
    assert "'' is not a path" in outcome.err
