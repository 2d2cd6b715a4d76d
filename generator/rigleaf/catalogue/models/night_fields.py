"""What a night out is made of: the time that each step of setting up takes."""

from pydantic import Field

from rigleaf.catalogue.models.fields import Entry, Time


class Steps(Entry):
    """Time that each step of setting up and taking down takes one person who has done it before."""

    unload: Time | None = Field(None, description="Carrying everything from the car to the spot, for one trip.")
    legs: Time | None = Field(None, description="Spreading and levelling the tripod.")
    head: Time | None = Field(None, description="Setting the mount on the tripod.")
    weights: Time | None = Field(None, description="Bar and counterweights.")
    sun_filter: Time | None = Field(None, description="Setting the filter for the Sun in front, in the shade.")
    tube: Time | None = Field(None, description="Setting the tube in the saddle.")
    train: Time | None = Field(None, description="Screwing camera and pieces of the image train on.")
    balance: Time | None = Field(None, description="Balancing the mount about its axes, with everything on it.")
    cables: Time | None = Field(None, description="Laying and plugging the cables.")
    power: Time | None = Field(None, description="Connecting the power, switching on and joining the computer.")
    polar_alignment: Time | None = Field(None, description="Aligning the polar axis.")
    star_alignment: Time | None = Field(None, description="Showing an alt-azimuth mount where it points.")
    collimation: Time | None = Field(None, description="Collimating an optic that needs it.")
    focus: Time | None = Field(None, description="Focusing.")
    guiding: Time | None = Field(None, description="Choosing a guide star and calibrating the guiding.")
    framing: Time | None = Field(None, description="Finding and framing the first target.")
    packing: Time | None = Field(None, description="Taking everything down and packing it.")
