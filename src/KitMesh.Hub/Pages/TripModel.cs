namespace KitMesh.Hub.Pages;

/// <summary>What the page "Trip" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Teams">The teams side by side.</param>
/// <param name="Movable">Cases, drives and devices that somebody can carry.</param>
/// <param name="Holders">Who or what can hold them.</param>
/// <param name="Loads">Devices with a battery.</param>
/// <param name="Sources">Cameras and recorders.</param>
/// <param name="Places">Places of which a forecast can be heard.</param>
/// <param name="Today">The crew's day.</param>
/// <param name="MayTell">Whether the reader may enter anything.</param>
/// <param name="Said">What became of the last entry; empty when there was none.</param>
/// <param name="IsRefused">Whether that entry was not kept.</param>
/// <param name="Notes">The newest notes, newest first.</param>
public sealed record TripModel(
    PageHead Head,
    IReadOnlyList<TeamColumn> Teams,
    IReadOnlyList<string> Movable,
    IReadOnlyList<string> Holders,
    IReadOnlyList<string> Loads,
    IReadOnlyList<string> Sources,
    IReadOnlyList<string> Places,
    NodaTime.LocalDate Today,
    bool MayTell,
    string Said,
    bool IsRefused,
    IReadOnlyList<string> Notes);
