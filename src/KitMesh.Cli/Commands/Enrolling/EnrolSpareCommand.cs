using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol spare</c>: the encrypted spare copy of the trip root.</summary>
internal sealed class EnrolSpareCommand
{
    private readonly Option<DirectoryInfo?> _data = OptionKit.Folder("--data", "The data folder of the trip's first hub.", required: true);
    private readonly Option<string> _to = OptionKit.TextRequired("--to", "File of the spare copy; it must not be there yet. Put it on another medium, in another case.");
    private readonly Option<FileInfo?> _passphrase = new("--passphrase-file") { Description = "A file with the passphrase, 12 characters or more. Without it: standard input.", HelpName = "file" };

    public Command Build(Surroundings surroundings) =>
        new Command("spare", "Write an encrypted spare copy of the trip root. Without it, a lost first hub means enrolling every device again.")
        {
            _data, _to, _passphrase,
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        string passphrase = SecretInput.Line(run, run.Get(_passphrase), "Passphrase for the spare copy, 12 characters or more", hidden: true);
        if (passphrase.Length < RootSpare.LeastCharacters)
        {
            throw CommandFault.BadInput($"The passphrase has {passphrase.Length} characters; use {RootSpare.LeastCharacters} or more.", "Five words from a book that another person knows do well.");
        }

        try
        {
            RootSpare.Write(new HubIdentityFolder(run.Get(_data)!.FullName), run.Get(_to), passphrase);
        }
        catch (HubStartException refused)
        {
            throw CommandFault.BadInput(refused.Message, inner: refused);
        }

        run.Talk.Say($"The spare copy is {run.Get(_to)}. Keep it apart from the hub, and the passphrase apart from it.");
        return ExitCode.Good;
    }
}
