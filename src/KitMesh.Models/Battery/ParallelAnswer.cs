using KitMesh.Domain;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>What flows the moment packs are joined.</summary>
/// <param name="Bus">Voltage of the common point.</param>
/// <param name="Currents">Current out of each pack; negative flows into it.</param>
/// <param name="Heat">Heat in all packs and leads.</param>
/// <param name="OddOneOut">The pack with the largest current.</param>
/// <param name="Verdict">Whether it stays within the limits.</param>
/// <param name="Words">Why, with the safety words.</param>
public sealed record ParallelAnswer(
    Volts Bus, ValueList<Amperes> Currents, Watts Heat, int OddOneOut, ParallelVerdict Verdict, string Words);
