"""Settings that hold for every test."""

from hypothesis import HealthCheck, settings

# A busy machine must not turn a law false: no test is timed.
settings.register_profile(
    "melodex", deadline=None, suppress_health_check=[HealthCheck.too_slow], max_examples=60
)
settings.load_profile("melodex")

# The benchmarks are run by hand; some import peers that only the benchmarks extra installs.
collect_ignore_glob = ["benchmarks/[!t]*.py"]
