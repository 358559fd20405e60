using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Box;

/// <summary>Heat loss of a box from its sizes, for when nobody has measured it.</summary>
/// <remarks>
/// UA = k (Σ A/t + 0.54 × edge length + 0.15 t per corner), inner sizes above t/5; air films inside and outside in series.
/// Source: Incropera and DeWitt, table 4.1, shape factors of edges and corners (from memory). Check: rows box of thermal-checks.csv.
/// </remarks>
public static class BoxWalls
{
    /// <summary>Area of the inside.</summary>
    /// <param name="length">Inner length.</param>
    /// <param name="width">Inner width.</param>
    /// <param name="height">Inner height.</param>
    public static SquareMetres InnerArea(Metres length, Metres width, Metres height) =>
        new(2 * ((length.Value * width.Value) + (length.Value * height.Value) + (width.Value * height.Value)));

    /// <summary>Conduction through walls, edges and corners.</summary>
    /// <param name="length">Inner length.</param>
    /// <param name="width">Inner width.</param>
    /// <param name="height">Inner height.</param>
    /// <param name="wall">Wall thickness, at most five times the least inner size.</param>
    /// <param name="conductivity">k in W/(m K): polyurethane 0.024, extruded polystyrene 0.027, expanded 0.037, vacuum panel with edges 0.007.</param>
    public static WattsPerKelvin Conduction(Metres length, Metres width, Metres height, Metres wall, double conductivity) =>
        new(conductivity * ShapeFactor(length.Value, width.Value, height.Value, wall.Value));

    /// <summary>Conduction with the air films inside and outside.</summary>
    /// <param name="length">Inner length.</param>
    /// <param name="width">Inner width.</param>
    /// <param name="height">Inner height.</param>
    /// <param name="wall">Wall thickness.</param>
    /// <param name="conductivity">k in W/(m K).</param>
    /// <param name="filmInside">Heat transfer inside, W/(m2 K); about 8.</param>
    /// <param name="filmOutside">Heat transfer outside, W/(m2 K); about 15, more in wind.</param>
    public static WattsPerKelvin WithFilms(
        Metres length, Metres width, Metres height, Metres wall, double conductivity, double filmInside, double filmOutside)
    {
        double inner = InnerArea(length, width, height).Value;
        double t2 = 2 * wall.Value;
        double outer = InnerArea(new(length.Value + t2), new(width.Value + t2), new(height.Value + t2)).Value;
        double walls = Conduction(length, width, height, wall, conductivity).Value;
        return new(1 / ((1 / (filmInside * inner)) + (1 / walls) + (1 / (filmOutside * outer))));
    }

    internal static double ShapeFactor(double length, double width, double height, double wall) =>
        (2 * ((length * width) + (length * height) + (width * height)) / wall) + (0.54 * 4 * (length + width + height)) + (0.15 * wall * 8);
}
