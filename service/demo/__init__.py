"""An invented customer, commission and plant, so that a newcomer sees the whole job at once."""

from service.demo.loading import find_demo, issue_demo_report, load_demo, write_paper

__all__ = ["find_demo", "issue_demo_report", "load_demo", "write_paper"]
