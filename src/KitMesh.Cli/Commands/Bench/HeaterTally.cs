namespace KitMesh.Cli.Commands.Bench;

/// <summary>Energy of the heater one day ahead, foreseen and come: a mean that is off shows what the scores only hint at.</summary>
internal sealed class HeaterTally
{
    private double _learnt;
    private double _declared;
    private double _came;
    private int _count;

    public void Add(double learnt, double declared, double came)
    {
        _learnt += learnt;
        _declared += declared;
        _came += came;
        _count++;
    }

    public object Shape() => new { learnt = _learnt / _count, notLearnt = _declared / _count, came = _came / _count };
}
