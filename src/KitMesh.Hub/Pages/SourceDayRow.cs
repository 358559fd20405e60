using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What one camera or recorder shot on one day, and how safe it is.</summary>
/// <param name="Day">The crew's day.</param>
/// <param name="Source">The camera or recorder; the card where it is not known.</param>
/// <param name="Clips">How many clips, in words.</param>
/// <param name="Copies">Proven copies, the fewest and the most of any clip, in words with a shape.</param>
/// <param name="Cases">Cases that they are in, the fewest and the most, in words.</param>
/// <param name="Rule">How it stands under the copy rule, with a shape.</param>
public sealed record SourceDayRow(LocalDate Day, string Source, string Clips, string Copies, string Cases, string Rule);
