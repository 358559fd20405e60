using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>On which mornings the panels should go out, weighed against the time of those who carry them.</summary>
/// <param name="Below">They go out on every day that they can stand while the bank is below this; null means on every such day.</param>
/// <param name="DaysOut">Mean days out to the last day.</param>
/// <param name="PeoplesTime">Mean time that it costs people.</param>
/// <param name="Short">Chance of running short by the last day under it.</param>
/// <param name="ShortEveryDay">The same with the panels out on every day that they can stand.</param>
/// <param name="ShortNever">The same with the panels never out.</param>
/// <param name="Words">The same in one sentence.</param>
public sealed record PanelPolicy(
    StateOfCharge? Below, double DaysOut, Duration PeoplesTime, Probability Short, Probability ShortEveryDay, Probability ShortNever, string Words);
