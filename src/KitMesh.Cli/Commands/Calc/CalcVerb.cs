using System.CommandLine;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Calc;

// Every computation has the same shape: named input columns with units, named output columns, one answer a row. Given as options it answers once;
// given --csv FILE it streams a table, repeats the input columns as they were and adds its own. A row that cannot be computed gets its reason in the
// column "error", and the run exits 1 after the last row.

/// <summary>A computation under <c>kitmesh calc</c>.</summary>
internal abstract class CalcVerb : ICommandFile
{
    private readonly Option<FileInfo?> _csv = new("--csv")
    {
        Description = "A table with named columns, one question a row; the answers go to stdout as a table (or as JSON lines with --json). Default: none.",
        HelpName = "file",
    };

    private Dictionary<string, Option<string?>> _options = [];

    /// <summary>The verb.</summary>
    public abstract string Name { get; }

    /// <summary>What it computes.</summary>
    public abstract string Meaning { get; }

    /// <summary>Input columns.</summary>
    public abstract CalcColumn[] Inputs { get; }

    /// <summary>Output columns.</summary>
    public abstract string[] Outputs { get; }

    /// <summary>Told which inputs are given before anything is computed: a verb may answer more when it is asked more.</summary>
    public virtual void Expect(IReadOnlyCollection<string> given)
    {
    }

    /// <summary>True for an input that is left out of the answer when it has no text.</summary>
    protected virtual bool IsSilent(CalcColumn column) => false;

    /// <summary>Computes one row.</summary>
    /// <param name="row">The inputs.</param>
    /// <exception cref="CalcException">It cannot be computed.</exception>
    public abstract CalcAnswer Compute(CalcRow row);

    /// <inheritdoc/>
    public virtual Command Build(Surroundings surroundings)
    {
        var command = new Command(Name, Meaning) { _csv };
        _options = Inputs.ToDictionary(column => column.Name, Make);
        foreach (Option<string?> option in _options.Values)
        {
            command.Options.Add(option);
        }

        return command.Runs(surroundings, Run);
    }

    private static Option<string?> Make(CalcColumn column)
    {
        string hyphens = column.Name.Replace('_', '-').ToLowerInvariant();
        var option = new Option<string?>($"--{column.Name}")
        {
            Description = column.Standard is { } standard ? $"{column.Meaning} Default: {(standard.Length == 0 ? "none" : standard)}." : $"{column.Meaning} Needed without --csv.",
            HelpName = "value",
        };
        if (hyphens != column.Name)
        {
            option.Aliases.Add($"--{hyphens}");
        }

        return option;
    }

    /// <summary>Answers once, or row by row of a table.</summary>
    protected ExitCode Run(CommandRun run)
    {
        if (run.Get(_csv) is not { } file)
        {
            return One(run);
        }

        // An option beside a table would be passed over in silence, and the answers be of another question.
        return Inputs.FirstOrDefault(column => run.Get(_options[column.Name]) is not null) is { } both
            ? throw CommandFault.BadInput($"calc {Name} takes its inputs from the table behind --csv; --{both.Name} is given beside it.", $"Leave --{both.Name} out, or make it a column of the table.")
            : CalcTable.Run(this, run, file);
    }

    private ExitCode One(CommandRun run)
    {
        CalcColumn[] missing = [.. Inputs.Where(column => column.Standard is null && run.Get(_options[column.Name]) is null)];
        if (missing is [var first, .. var others])
        {
            string rest = string.Concat(others.Select(column => $", --{column.Name}"));
            throw CommandFault.BadInput($"calc {Name} needs --{first.Name}: {first.Meaning}", $"Give --{first.Name}{rest}; or a table with --csv FILE.");
        }

        string Cell(string name) => run.Get(_options[name]) ?? Inputs.First(column => column.Name == name).Standard ?? "";
        Expect([.. Inputs.Select(column => column.Name).Where(name => run.Get(_options[name]) is not null)]);
        CalcAnswer answer = Answer(new CalcRow(Cell), out string error);
        if (error.Length > 0)
        {
            throw CommandFault.BadInput($"calc {Name}: {error}.");
        }

        if (run.Json)
        {
            run.Out.Json(Shape(Inputs.Where(column => !IsSilent(column) || Cell(column.Name).Length > 0).Select(column => (column.Name, (object?)Cell(column.Name))), answer, error));
        }
        else
        {
            for (int i = 0; i < Outputs.Length; i++)
            {
                run.Out.Line($"{Outputs[i],-34} {CalcTable.Text(answer.Cells[i])}");
            }

            if (answer.Words is { } words)
            {
                run.Out.Line();
                run.Out.Line(words);
            }
        }

        return answer.BadNews ? ExitCode.BadNews : ExitCode.Good;
    }

    /// <summary>Computes a row and turns whatever is wrong with it into words.</summary>
    public CalcAnswer Answer(CalcRow row, out string error)
    {
        try
        {
            error = "";
            return Compute(row);
        }
        catch (Exception fault) when (fault is CalcException or ArgumentException)
        {
            error = fault.Message.Split('\n', '\r')[0].TrimEnd('.');
            return new CalcAnswer(new object?[Outputs.Length]);
        }
    }

    /// <summary>One row as a JSON object; its names are the columns'.</summary>
    public Dictionary<string, object?> Shape(IEnumerable<(string Name, object? Value)> inputs, CalcAnswer answer, string error)
    {
        var shape = new Dictionary<string, object?>();
        foreach ((string name, object? value) in inputs)
        {
            shape[name] = value is string text && double.TryParse(text, System.Globalization.CultureInfo.InvariantCulture, out double number) ? number : value;
        }

        for (int i = 0; i < Outputs.Length; i++)
        {
            shape[Outputs[i]] = answer.Cells[i];
        }

        if (answer.Words is not null)
        {
            shape["words"] = answer.Words;
        }

        if (error.Length > 0)
        {
            shape["error"] = error;
        }

        return shape;
    }
}
