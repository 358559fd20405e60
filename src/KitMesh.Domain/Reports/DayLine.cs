using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>What one series of a thing did in one day. Values are fixed-point: millionths of the quantity's unit, bytes as they are.</summary>
/// <param name="Quantity">What was measured; a number that this version does not know is kept.</param>
/// <param name="Sensor">Tells several sensors of one thing apart; empty where there is one.</param>
/// <param name="Samples">Readings in that day.</param>
/// <param name="Least">The least value that held.</param>
/// <param name="Mean">The mean over the time in which a value was known.</param>
/// <param name="Greatest">The greatest value that held.</param>
/// <param name="Last">The value at the end.</param>
/// <param name="Known">For how long a value was known, in whole seconds.</param>
public sealed record DayLine(SeriesQuantity Quantity, string Sensor, long Samples, long Least, long Mean, long Greatest, long Last, Duration Known);
