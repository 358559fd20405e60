using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>A day of a line that another hub told and whose readings are not here: second-hand.</summary>
/// <param name="Name">The line.</param>
/// <param name="Day">The crew's day.</param>
/// <param name="Samples">Readings behind it.</param>
/// <param name="Least">The least value.</param>
/// <param name="Mean">The mean over the time in which a value was known.</param>
/// <param name="Most">The greatest value.</param>
/// <param name="Last">The value at the end of the day.</param>
/// <param name="By">The hub that told it.</param>
/// <param name="Told">When that hub wrote it.</param>
public sealed record HistoryDay(string Name, LocalDate Day, long Samples, double Least, double Mean, double Most, double Last, NodeId By, Instant Told);
